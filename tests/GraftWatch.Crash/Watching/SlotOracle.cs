using System.Globalization;

namespace GraftWatch.Crash.Watching;

/// <summary>Judges a season: from readers, zones and the simulated clock alone it works out which letters there must be, and compares that with what the sink has, what the store says and what readers saw.</summary>
internal static class SlotOracle
{
    /// <summary>Judges; one sentence for each fault.</summary>
    internal static Judgement Judge(Season season, bool quiet)
    {
        var faults = new List<string>(season.Errors);
        string integrity = StoreReader.Integrity(season.Store);
        if (integrity != "ok")
        {
            return new Judgement { Faults = [.. faults, "the store is damaged: " + integrity] };
        }

        List<StoredLetter> stored = StoreReader.Read(season.Store);
        var found = stored.ToDictionary(letter => letter.MessageId, StringComparer.Ordinal);
        SunkLetter[] sunk = [.. season.Sink.Letters];
        (int mornings, int away) = Mornings(season, stored, faults);
        Gaps(stored, sunk, faults);
        int urgent = UrgentOracle.Judge(season, stored, faults);
        int doubles = Doubles(season, sunk, found, faults);
        Agreement(season, sunk, found, faults);
        int reasons = quiet ? Reasons(season, stored, sunk, faults) : 0;
        Numbers(stored, faults);
        LetGo(season, stored, sunk, faults);
        faults.AddRange(season.Notes.Except(StoreReader.Notes(season.Store)).Select(note => $"note {note} of a grower is missing"));
        faults.AddRange(season.Sink.Surprises.Select(surprise => "the sink was surprised by " + surprise));
        return new Judgement { Faults = faults, Mornings = mornings, Urgent = urgent, Away = away, Letters = sunk.Length, Doubles = doubles, Reasons = reasons, WindowsMs = [.. season.WindowsMs] };
    }

    // A morning must have its letter when a look was completed while it was useful, may have it when a look was begun, and else has none.
    private static (int Mornings, int Away) Mornings(Season season, List<StoredLetter> stored, List<string> faults)
    {
        DateTime[] looks = [.. season.Passes.Order().Select(ticks => DateTime.UnixEpoch.AddTicks(ticks))];
        if (looks.Length == 0)
        {
            return (0, 0);
        }

        var there = stored.Where(letter => !letter.Urgent).ToDictionary(letter => (letter.Name, letter.Date));
        int mornings = 0, away = 0;
        DateTime from = season.Start.ToDateTimeUtc(), to = season.Now.ToDateTimeUtc();
        foreach (Morning morning in Reader.All.SelectMany(reader => LocalMornings.Between(reader, from, to)))
        {
            bool must = looks.Any(look => look >= morning.Due && look < morning.TooLate);
            bool has = there.Remove((morning.Name, morning.Date));
            mornings += must ? 1 : 0;
            away += must || has || morning.Due < from ? 0 : 1;
            if (must && !has)
            {
                faults.Add(string.Create(CultureInfo.InvariantCulture, $"missing: {morning.Name} has no letter of {morning.Date:yyyy-MM-dd}, due {morning.Due:u}"));
            }
        }

        faults.AddRange(there.Values.Select(letter => string.Create(CultureInfo.InvariantCulture, $"unexpected: a letter of {letter.Name} for {letter.Date:yyyy-MM-dd}")));
        return (mornings, away);
    }

    // A reader learns from the next letter that there was none before it, and is not told so without reason.
    private static void Gaps(List<StoredLetter> stored, SunkLetter[] sunk, List<string> faults)
    {
        ILookup<string, SunkLetter> copies = sunk.ToLookup(letter => letter.MessageId, StringComparer.Ordinal);
        foreach (IGrouping<string, StoredLetter> own in stored.Where(letter => !letter.Urgent).GroupBy(letter => letter.Name, StringComparer.Ordinal))
        {
            StoredLetter? before = null;
            foreach (StoredLetter letter in own.OrderBy(letter => letter.Date))
            {
                bool gap = before is not null && before.Date.AddDays(1) < letter.Date;
                if (copies[letter.MessageId].FirstOrDefault() is { } read && read.TellsOfDaysWithout != gap)
                {
                    faults.Add($"silent: letter {letter.Number} of {letter.Name} follows {before?.Date:yyyy-MM-dd} and {(gap ? "does not say that there was none between" : "speaks of days without")}");
                }

                before = letter;
            }
        }
    }

    // Old letters lose their bytes, and nothing else; young ones and those that wait keep them.
    private static void LetGo(Season season, List<StoredLetter> stored, SunkLetter[] sunk, List<string> faults)
    {
        const int KeptDays = 14;
        Dictionary<string, SunkLetter> arrived = sunk.DistinctBy(letter => letter.MessageId).ToDictionary(letter => letter.MessageId, StringComparer.Ordinal);
        DateOnly young = DateOnly.FromDateTime(season.Now.ToDateTimeUtc().AddDays(1 - KeptDays));
        foreach (StoredLetter letter in stored.Where(letter => letter.BytesLetGo is not null))
        {
            bool right = letter is { BytesLeft: 0, State: not "waiting" } && letter.Date < young && (!arrived.TryGetValue(letter.MessageId, out SunkLetter? copy) || copy.Hash == letter.Hash);
            if (!right)
            {
                faults.Add($"let go: letter {letter.Number} of {letter.Name} of {letter.Date:yyyy-MM-dd}, {letter.State}, {letter.BytesLeft} of {letter.BytesLetGo} bytes left");
            }
        }
    }

    private static int Doubles(Season season, SunkLetter[] sunk, Dictionary<string, StoredLetter> found, List<string> faults)
    {
        int doubles = 0;
        foreach (IGrouping<string, SunkLetter> same in sunk.GroupBy(letter => letter.MessageId, StringComparer.Ordinal))
        {
            SunkLetter[] copies = [.. same];
            for (int i = 1; i < copies.Length; i++)
            {
                doubles++;
                SunkLetter before = copies[i - 1], copy = copies[i];
                if (copy.Life == before.Life || !season.Doubts.Contains((before.MessageId, before.Life)))
                {
                    faults.Add($"twice: letter {copy.Number} to {copy.Address} though its receipt was noted (lives {before.Life} and {copy.Life})");
                }

                if (copy.Hash != before.Hash || copy.Number != before.Number || copy.Address != before.Address)
                {
                    faults.Add($"other bytes: the copies of letter {copy.Number} to {copy.Address} differ");
                }
            }

            if (copies.Length > 1 && found.TryGetValue(same.Key, out StoredLetter? stored) && stored.Doubts < copies.Length - 1)
            {
                faults.Add($"silent: letter {stored.Number} of {stored.Name} went out {copies.Length} times and the store tells of {stored.Doubts} doubts");
            }
        }

        faults.AddRange(sunk.GroupBy(letter => (letter.Address, letter.Date, letter.Urgent, letter.Number))
            .Where(slot => slot.Select(letter => letter.MessageId).Distinct().Count() > 1)
            .Select(slot => $"twice: {slot.Key} under several Message-IDs"));
        return doubles;
    }

    private static void Agreement(Season season, SunkLetter[] sunk, Dictionary<string, StoredLetter> found, List<string> faults)
    {
        foreach (SunkLetter letter in sunk)
        {
            if (!found.TryGetValue(letter.MessageId, out StoredLetter? stored))
            {
                faults.Add($"unexpected: the store knows nothing of {letter.MessageId} to {letter.Address}");
                continue;
            }

            Reader reader = Reader.All.Single(one => one.Address == letter.Address);
            if (stored.Name != reader.Name || stored.Number != letter.Number || stored.Hash != letter.Hash || stored.Date != letter.Date || stored.Urgent != letter.Urgent)
            {
                faults.Add($"changed: letter {letter.Number} to {letter.Address} is not what was sealed as {stored.Number} for {stored.Name} on {stored.Date}");
            }

            // A letter sealed at its hour may leave after the clock was set back; it is not early for that.
            if (!letter.Urgent && LocalMornings.DueAt(reader.ZoneId, letter.Date, reader.Hour) is { } due
                && (DateTime.UnixEpoch.AddTicks(letter.HighestAt) < due || DateTime.UnixEpoch.AddTicks(stored.SealedAt) < due))
            {
                faults.Add(string.Create(CultureInfo.InvariantCulture, $"early: letter {letter.Number} to {letter.Address} sealed at {DateTime.UnixEpoch.AddTicks(stored.SealedAt):u}, arrived at {DateTime.UnixEpoch.AddTicks(letter.At):u}, due {due:u}"));
            }
        }

        HashSet<string> arrived = [.. sunk.Select(letter => letter.MessageId)];
        faults.AddRange(found.Values.Where(letter => letter.State == "accepted" && !arrived.Contains(letter.MessageId))
            .Select(letter => $"missing: letter {letter.Number} of {letter.Name} is noted as accepted and never arrived"));
    }

    // In the end each letter was accepted, or a sentence says why not.
    private static int Reasons(Season season, List<StoredLetter> stored, SunkLetter[] sunk, List<string> faults)
    {
        int reasons = 0;
        HashSet<string> sure = [.. sunk.Where(letter => !season.Doubts.Contains((letter.MessageId, letter.Life))).Select(letter => letter.MessageId)];
        foreach (StoredLetter letter in stored.Where(letter => letter.State != "accepted"))
        {
            reasons++;
            if (letter.State == "waiting")
            {
                faults.Add($"stuck: letter {letter.Number} of {letter.Name} waits though all is quiet");
            }
            else if (letter.LastDetail.Length < 10)
            {
                faults.Add($"silent: letter {letter.Number} of {letter.Name} is {letter.State} and nothing says why");
            }
            else if (sure.Contains(letter.MessageId))
            {
                faults.Add($"forgotten: letter {letter.Number} of {letter.Name} was accepted, noted, and is {letter.State}");
            }
        }

        return reasons;
    }

    private static void Numbers(List<StoredLetter> stored, List<string> faults)
    {
        foreach (IGrouping<string, StoredLetter> own in stored.GroupBy(letter => letter.Name, StringComparer.Ordinal))
        {
            StoredLetter[] inOrder = [.. own.OrderBy(letter => letter.Number)];
            if (!inOrder.Select(letter => letter.Number).SequenceEqual(Enumerable.Range(1, inOrder.Length)))
            {
                faults.Add($"numbers: those of {own.Key} have a gap or a repeat");
            }

            if (!inOrder.Select(letter => letter.Date).SequenceEqual(inOrder.Select(letter => letter.Date).Order()))
            {
                faults.Add($"numbers: the days of {own.Key} are out of order");
            }
        }

        faults.AddRange(stored.Where(letter => letter.Tries != letter.TryRows).Select(letter => $"tries: letter {letter.Number} of {letter.Name} counts {letter.Tries} and lists {letter.TryRows}"));
    }
}

/// <summary>What was found.</summary>
public sealed record Judgement
{
    /// <summary>Faults, one sentence each.</summary>
    public required IReadOnlyList<string> Faults { get; init; }

    /// <summary>Mornings that must have a letter.</summary>
    public int Mornings { get; init; }

    /// <summary>Urgent notes that must have been written.</summary>
    public int Urgent { get; init; }

    /// <summary>Mornings that passed while nothing ran.</summary>
    public int Away { get; init; }

    /// <summary>Letters in the sink, copies counted.</summary>
    public int Letters { get; init; }

    /// <summary>Copies that are allowed: the kill fell between the whole letter and the receipt.</summary>
    public int Doubles { get; init; }

    /// <summary>Letters that were not accepted and say why.</summary>
    public int Reasons { get; init; }

    /// <summary>Milliseconds from "250" to the noted receipt.</summary>
    public IReadOnlyList<double> WindowsMs { get; init; } = [];
}
