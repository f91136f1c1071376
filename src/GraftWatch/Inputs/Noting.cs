using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Records;
using GraftWatch.Records.Observations;
using GraftWatch.Rounds.Answering;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Inputs;

/// <summary>Notes what a grower saw or did at one graft, from their words; the command line and the pages do it the same way.</summary>
internal static class Noting
{
    /// <summary>Reads the words and notes them.</summary>
    /// <param name="store">Keeps the note, and closes the advice it answers.</param>
    /// <param name="handbook">Covers the words may name.</param>
    /// <param name="grower">Whose graft.</param>
    /// <param name="label">The graft.</param>
    /// <param name="words">Such as "green tip", "shoot 12 cm", "cover on foil".</param>
    /// <param name="on">The local day, at noon; null for now.</param>
    /// <param name="now">The instant of the note.</param>
    /// <param name="cancellationToken">Stops waiting for a turn.</param>
    internal static async Task<NotingOutcome> NoteAsync(
        RecordsStore store, Handbook handbook, Grower grower, string label, string words, LocalDate? on, Instant now, CancellationToken cancellationToken)
    {
        if (WorkWords.Find(words) is { } work)
        {
            return await AnswerAsync(store, grower, label, work, on, now, cancellationToken).ConfigureAwait(false);
        }

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
        long? note = await store.Keeper.ObserveAsync(grower.Name, new Observation(label, at, meant.Kind, meant.Value, material), words, now, cancellationToken).ConfigureAwait(false);
        return note is { } number
            ? new NotingOutcome.Noted(number) { Closed = await Works(store).CloseAsync(grower, label, NotedWork.ClosedBy(meant.Kind), at, now, cancellationToken).ConfigureAwait(false) }
            : new NotingOutcome.NoSuchGraft();
    }

    /// <summary>Takes a note back, with the answers it gave.</summary>
    internal static async Task<UndoOutcome> UndoAsync(RecordsStore store, Grower grower, long note, Instant now, CancellationToken cancellationToken)
    {
        UndoOutcome outcome = await store.Keeper.UndoObservationAsync(grower.Name, note, now, cancellationToken).ConfigureAwait(false);
        IReadOnlyList<NotedObservation> notes = outcome == UndoOutcome.Undone ? await store.Keeper.LoadNotesAsync(grower.Name, cancellationToken).ConfigureAwait(false) : [];
        if (notes.FirstOrDefault(one => one.Note == note) is { } undone)
        {
            await Works(store).UndoAsync(grower, undone, now, cancellationToken).ConfigureAwait(false);
        }

        return outcome;
    }

    private static NotedWork Works(RecordsStore store) => new(store.Register, store.Answers, store.Said);

    private static async Task<NotingOutcome> AnswerAsync(
        RecordsStore store, Grower grower, string label, WorkAction work, LocalDate? on, Instant now, CancellationToken cancellationToken)
    {
        if (TimeOf(on, grower.Zone, now) is not { } at)
        {
            return new NotingOutcome.Refused($"{on:R} lies in the future.");
        }

        IReadOnlyList<Graft> grafts = await store.Register.LoadGraftsAsync(grower.Name, cancellationToken).ConfigureAwait(false);
        return grafts.Any(graft => graft.Label == label)
            ? new NotingOutcome.Answered(await Works(store).AnswerAsync(grower, label, work, at, now, cancellationToken).ConfigureAwait(false))
            : new NotingOutcome.NoSuchGraft();
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
    internal sealed record Noted(long Note) : NotingOutcome
    {
        /// <summary>Work a letter had asked for that the note closes.</summary>
        internal IReadOnlyList<WorkAction> Closed { get; init; } = [];
    }

    /// <summary>It was work that leaves nothing to be seen; it is kept as done.</summary>
    /// <param name="Answer">Number of the answer, for taking it back.</param>
    internal sealed record Answered(long Answer) : NotingOutcome;

    /// <summary>The words or the day cannot be taken.</summary>
    /// <param name="Why">A sentence.</param>
    internal sealed record Refused(string Why) : NotingOutcome;

    /// <summary>The grower has no such graft.</summary>
    internal sealed record NoSuchGraft : NotingOutcome;
}
