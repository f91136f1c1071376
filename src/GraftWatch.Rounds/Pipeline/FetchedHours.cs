using System.Runtime.InteropServices;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Rounds.Pipeline;

/// <summary>What is remembered of a fetch: everything about it, a mark of its hours, and the hours themselves while somebody works with them.</summary>
internal sealed class FetchedHours
{
    private volatile PlaceWeather? whole;

    internal FetchedHours(Place asked, PlaceWeather fetched, Instant at)
    {
        Asked = asked;
        At = at;
        HasHours = fetched.Weather is not null;
        Mark = MarkOf(fetched);
        Head = fetched with { Weather = null, Members = [] };
        whole = fetched;
    }

    /// <summary>The place as it was asked for; the answer may know more of it, such as its learned difference to the forecast.</summary>
    internal Place Asked { get; }

    internal Instant At { get; }

    internal bool HasHours { get; }

    /// <summary>Of equal hours, equal; of others, another, but for one chance in 2⁶⁴.</summary>
    internal ulong Mark { get; }

    /// <summary>The answer without its hours and members.</summary>
    internal PlaceWeather Head { get; }

    /// <summary>The answer with its hours; null when they were let go.</summary>
    internal PlaceWeather? Whole
    {
        get => HasHours ? whole : Head;
        set => whole = value;
    }

    internal void LetGo() => whole = null;

    /// <summary>The mark of a place's hours, their origins too. Counts within this process only.</summary>
    internal static ulong MarkOf(PlaceWeather place)
    {
        // Two hashes of 32 bits: one alone would miss a change once in four thousand million looks.
        var low = new HashCode();
        var high = new HashCode();
        low.Add(place.Place.Name);
        low.Add(place.Weather?.FirstHourEnd);
        high.Add(place.Weather?.Hours);
        if (place.Weather is { } hours)
        {
            foreach (WeatherQuantity quantity in Enum.GetValues<WeatherQuantity>())
            {
                ReadOnlySpan<byte> column = MemoryMarshal.AsBytes(hours[quantity]);
                low.AddBytes(column);
                high.AddBytes(column);
                for (int i = 0; i < hours.Hours; i++)
                {
                    high.Add((byte)hours.OriginOf(quantity, i));
                }
            }
        }

        return ((ulong)(uint)high.ToHashCode() << 32) | (uint)low.ToHashCode();
    }
}
