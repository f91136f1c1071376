using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Records.Observations;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Inputs;

/// <summary>Notes what a grower saw or did at one graft, from their words; the command line and the pages do it the same way.</summary>
internal static class Noting
{
    /// <summary>Reads the words and notes them.</summary>
    /// <param name="keeper">Keeps the note.</param>
    /// <param name="handbook">Covers the words may name.</param>
    /// <param name="grower">Whose graft.</param>
    /// <param name="label">The graft.</param>
    /// <param name="words">Such as "green tip", "shoot 12 cm", "cover on foil".</param>
    /// <param name="on">The local day, at noon; null for now.</param>
    /// <param name="now">The instant of the note.</param>
    /// <param name="cancellationToken">Stops waiting for a turn.</param>
    internal static async Task<NotingOutcome> NoteAsync(
        IRegisterKeeper keeper, Handbook handbook, Grower grower, string label, string words, LocalDate? on, Instant now, CancellationToken cancellationToken)
    {
        if (ObservationWords.Parse(words) is not ObservationReading.Understood meant)
        {
            var not = (ObservationReading.NotUnderstood)ObservationWords.Parse(words);
            return new NotingOutcome.Refused(not.Nearest is { } nearest ? $"{not.Why} Nearest: \"{nearest}\"." : not.Why);
        }

        if (meant.Material.Length > 0 && !handbook.Covers.ContainsKey(meant.Material))
        {
            string known = NearestName.Of(meant.Material, handbook.Covers.Keys) is { } near ? $"Nearest: {near}." : $"Known: {string.Join(", ", handbook.Covers.Keys)}.";
            return new NotingOutcome.Refused($"\"{meant.Material}\" is not a cover of materials.toml. {known}");
        }

        if (TimeOf(on, grower.Zone, now) is not { } at)
        {
            return new NotingOutcome.Refused($"{on:R} lies in the future.");
        }

        string? material = meant.Material.Length > 0 ? meant.Material : null;
        long? note = await keeper.ObserveAsync(grower.Name, new Observation(label, at, meant.Kind, meant.Value, material), words, now, cancellationToken).ConfigureAwait(false);
        return note is { } number ? new NotingOutcome.Noted(number) : new NotingOutcome.NoSuchGraft();
    }

    // Noon of a day; today before noon it is now.
    private static Instant? TimeOf(LocalDate? on, DateTimeZone zone, Instant now)
    {
        if (on is not { } day)
        {
            return now;
        }

        Instant noon = day.At(LocalTime.Noon).InZoneLeniently(zone).ToInstant();
        return noon <= now ? noon : day == now.InZone(zone).Date ? now : null;
    }
}

/// <summary>What became of a note.</summary>
internal abstract record NotingOutcome
{
    private NotingOutcome()
    {
    }

    /// <summary>It is kept.</summary>
    /// <param name="Note">Its number, for taking it back.</param>
    internal sealed record Noted(long Note) : NotingOutcome;

    /// <summary>The words or the day cannot be taken.</summary>
    /// <param name="Why">A sentence.</param>
    internal sealed record Refused(string Why) : NotingOutcome;

    /// <summary>The grower has no such graft.</summary>
    internal sealed record NoSuchGraft : NotingOutcome;
}
