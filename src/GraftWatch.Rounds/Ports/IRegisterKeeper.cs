using GraftWatch.Aftercare.Grafts;
using NodaTime;

namespace GraftWatch.Rounds.Ports;

/// <summary>Changes the register. Grafts are replaced whole, what growers saw and did is only ever added to.</summary>
public interface IRegisterKeeper
{
    /// <summary>Makes the grower's grafts exactly these, in one transaction. Observations stay.</summary>
    /// <exception cref="ArgumentException">Two grafts share a label, or a number is not finite.</exception>
    Task<RegisterChange> ReplaceGraftsAsync(string grower, IReadOnlyList<Graft> grafts, CancellationToken cancellationToken);

    /// <summary>Adds these grafts and replaces those with the same labels, in one transaction; the others stay.</summary>
    /// <exception cref="ArgumentException">Two grafts share a label, or a number is not finite.</exception>
    Task<RegisterChange> ImportGraftsAsync(string grower, IReadOnlyList<Graft> grafts, CancellationToken cancellationToken);

    /// <summary>Notes what the grower saw or did.</summary>
    /// <param name="grower">Grower's name.</param>
    /// <param name="observation">What and when.</param>
    /// <param name="words">The grower's own words; empty when there are none.</param>
    /// <param name="notedAt">The instant of the note.</param>
    /// <param name="cancellationToken">Stops waiting for a turn.</param>
    /// <returns>The number of the note, or null when the grower has no graft with that label.</returns>
    Task<long?> ObserveAsync(string grower, Observation observation, string words, Instant notedAt, CancellationToken cancellationToken);

    /// <summary>Notes the same instant's sightings or work of many grafts in one transaction; labels the grower does not have are left out.</summary>
    /// <param name="grower">Grower's name.</param>
    /// <param name="seen">What and when, with the grower's own words.</param>
    /// <param name="notedAt">The instant of the notes.</param>
    /// <param name="cancellationToken">Stops waiting for a turn.</param>
    /// <returns>How many were noted.</returns>
    Task<int> ObserveManyAsync(string grower, IReadOnlyList<(Observation Observation, string Words)> seen, Instant notedAt, CancellationToken cancellationToken);

    /// <summary>Takes notes back, each within <see cref="UndoWindow.Days"/> days, in one transaction; those too old stand.</summary>
    /// <returns>How many no longer count.</returns>
    Task<int> UndoObservationsAsync(string grower, IReadOnlyList<long> notes, Instant at, CancellationToken cancellationToken);

    /// <summary>Takes a note back within <see cref="UndoWindow.Days"/> days; the row stays and says so.</summary>
    Task<UndoOutcome> UndoObservationAsync(string grower, long note, Instant at, CancellationToken cancellationToken);

    /// <summary>All notes of the grower, oldest first, those taken back too.</summary>
    Task<IReadOnlyList<NotedObservation>> LoadNotesAsync(string grower, CancellationToken cancellationToken);
}

/// <summary>What a change of the register did.</summary>
/// <param name="Added">Labels that are new.</param>
/// <param name="Changed">Labels whose record changed.</param>
/// <param name="Removed">Labels that are gone.</param>
/// <param name="Unchanged">Labels that were the same already.</param>
public sealed record RegisterChange(int Added, int Changed, int Removed, int Unchanged);

/// <summary>An observation as it was noted.</summary>
/// <param name="Note">Number of the note.</param>
/// <param name="Observation">What and when.</param>
/// <param name="Words">The grower's own words.</param>
/// <param name="NotedAt">When it was noted.</param>
/// <param name="UndoneAt">When it was taken back; null while it stands.</param>
public sealed record NotedObservation(long Note, Observation Observation, string Words, Instant NotedAt, Instant? UndoneAt);

/// <summary>What became of taking something back.</summary>
public enum UndoOutcome
{
    /// <summary>It no longer counts.</summary>
    Undone = 0,

    /// <summary>It had been taken back before.</summary>
    AlreadyUndone,

    /// <summary>It is older than <see cref="UndoWindow.Days"/> days and stands.</summary>
    TooLate,

    /// <summary>There is no such note of this grower.</summary>
    NotFound,
}

/// <summary>How long a grower may change their mind.</summary>
public static class UndoWindow
{
    /// <summary>Days after noting.</summary>
    public const int Days = 30;
}
