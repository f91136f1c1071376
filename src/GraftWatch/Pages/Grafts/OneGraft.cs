using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Explaining;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Pages.Today;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Pages.Grafts;

/// <summary>Everything a graft's own page says, computed for this graft alone.</summary>
/// <param name="Graft">The record.</param>
/// <param name="Reasons">Why each thing is or is not said; null when it could not be computed.</param>
/// <param name="Hours">Its hours; null when they could not be computed.</param>
/// <param name="Bare">Its hours without the cover that is on it; null when it has none.</param>
/// <param name="Fault">Why it could not be computed; empty when it could.</param>
internal sealed record OneGraft(Graft Graft, GraftReasons? Reasons, GraftHours? Hours, GraftHours? Bare, string Fault)
{
    private static readonly ObservationKind[] OfCovers = [ObservationKind.CoverOn, ObservationKind.CoverVented, ObservationKind.CoverClosed, ObservationKind.CoverOff];

    /// <summary>The request the page was computed from.</summary>
    internal required RoundRequest Request { get; init; }

    /// <summary>Stages that were reached, with the local date each began.</summary>
    internal IReadOnlyList<(Stage Stage, LocalDate From)> Past { get; } = [.. PastOf(Hours)];

    /// <summary>Notes of this graft, newest first.</summary>
    internal IReadOnlyList<NotedObservation> Notes { get; init; } = [];

    /// <summary>Answers about this graft, newest first.</summary>
    internal IReadOnlyList<NotedAnswer> Answers { get; init; } = [];

    /// <summary>What letters said of it.</summary>
    internal IReadOnlyList<SaidBefore> Said { get; init; } = [];

    /// <summary>Computes it.</summary>
    /// <param name="day">The grower's day: places, weather, settings.</param>
    /// <param name="graft">The record as it is now.</param>
    /// <param name="notes">All notes of the grower.</param>
    /// <param name="said">All that was said to the grower.</param>
    /// <param name="answers">Answers of the grower.</param>
    /// <param name="now">The instant of the page.</param>
    internal static OneGraft Of(GrowerDay day, Graft graft, IReadOnlyList<NotedObservation> notes, IReadOnlyList<SaidBefore> said, IReadOnlyList<NotedAnswer> answers, Instant now)
    {
        NotedObservation[] own = [.. notes.Where(note => note.Observation.Label == graft.Label).OrderByDescending(note => note.Observation.At).ThenByDescending(note => note.Note)];
        SaidBefore[] about = [.. said.Where(line => line.Graft == graft.Label)];
        RoundRequest request = day.Request with
        {
            Now = now,
            Grafts = [graft],
            Observations = [.. own.Where(note => note.UndoneAt is null).Select(note => note.Observation)],
            Said = about,
            Planned = [],
            Places = [.. day.Request.Places.Where(place => place.Place.Name == graft.Place)],
        };
        GraftReasons? reasons = GraftReasons.Of(request, graft.Label, out string fault);
        GraftHours? hours = GraftHours.Of(request, graft.Label, out _);
        return new OneGraft(graft, reasons, hours, reasons is { Now.Cover: not "none" } ? BareOf(request, graft) : null, fault)
        {
            Request = request,
            Notes = own,
            Answers = [.. answers.Where(noted => noted.Answer.Grafts.Contains(graft.Label))],
            Said = about,
        };
    }

    private static GraftHours? BareOf(RoundRequest request, Graft graft)
    {
        RoundRequest bare = request with
        {
            Grafts = [graft with { Cover = "none", CoverVented = false }],
            Observations = [.. request.Observations.Where(seen => !OfCovers.Contains(seen.Kind))],
        };
        return GraftHours.Of(bare, graft.Label, out _);
    }

    private static IEnumerable<(Stage, LocalDate)> PastOf(GraftHours? hours)
    {
        if (hours is null)
        {
            yield break;
        }

        Stage? before = null;
        for (int hour = 0; hour < hours.Hours; hour++)
        {
            if (hours.Stage[hour] is { } stage && stage != before)
            {
                before = stage;
                yield return (stage, hours.EndOf(hour).InZone(hours.Place.Zone).Date);
            }
        }
    }
}
