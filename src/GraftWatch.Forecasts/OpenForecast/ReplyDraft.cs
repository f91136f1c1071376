namespace GraftWatch.Forecasts.OpenForecast;

/// <summary>One location while it is being read; buffers are kept for the next one.</summary>
internal sealed class ReplyDraft
{
    private readonly Dictionary<(int Column, int Member), Slot> slots = [];
    private readonly Stack<ReplyBuffer> spare = [];

    public double LatitudeDeg { get; set; }

    public double LongitudeDeg { get; set; }

    public double ElevationM { get; set; }

    public double OffsetSeconds { get; set; }

    public string? TimeZone { get; set; }

    public bool Refused { get; set; }

    public string? Reason { get; set; }

    public bool HasHourly { get; set; }

    /// <summary>A column that belongs to one model among several, as an example for the fault.</summary>
    public string? Suffixed { get; set; }

    /// <summary>Seconds since 1970, UTC or local to the offset.</summary>
    public ReplyBuffer? Times { get; set; }

    public bool TimesAreLocal { get; set; }

    public List<string> Faults { get; } = [];

    public IReadOnlyCollection<Slot> Slots => slots.Values;

    public Slot SlotOf(int column, int member)
    {
        if (!slots.TryGetValue((column, member), out Slot? slot))
        {
            slot = new Slot(column, member);
            slots.Add((column, member), slot);
        }

        return slot;
    }

    public ReplyUnit UnitOf(Slot slot) =>
        slot.Unit == ReplyUnit.NotGiven && slots.TryGetValue((slot.Column, 0), out Slot? control) ? control.Unit : slot.Unit;

    public ReplyBuffer Rent()
    {
        ReplyBuffer buffer = spare.Count > 0 ? spare.Pop() : new ReplyBuffer();
        buffer.Clear();
        return buffer;
    }

    public void Reset()
    {
        foreach (Slot slot in slots.Values)
        {
            if (slot.Values is not null)
            {
                spare.Push(slot.Values);
            }
        }

        if (Times is not null)
        {
            spare.Push(Times);
        }

        slots.Clear();
        Faults.Clear();
        (Times, TimeZone, Reason, Suffixed) = (null, null, null, null);
        (LatitudeDeg, LongitudeDeg, ElevationM, OffsetSeconds) = (double.NaN, double.NaN, double.NaN, 0);
        (Refused, HasHourly, TimesAreLocal) = (false, false, false);
    }

    /// <summary>One column of one member.</summary>
    internal sealed class Slot(int column, int member)
    {
        public int Column { get; } = column;

        public int Member { get; } = member;

        public ReplyUnit Unit { get; set; }

        public ReplyBuffer? Values { get; set; }
    }
}
