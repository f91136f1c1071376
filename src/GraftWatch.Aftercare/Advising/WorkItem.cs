using GraftWatch.Aftercare.Hazards;
using GraftWatch.Aftercare.Remedies;
using GraftWatch.Aftercare.Tasks;
using GraftWatch.Aftercare.Thresholds;
using NodaTime;

namespace GraftWatch.Aftercare.Advising;

/// <summary>One piece of work at one graft, before grafts are grouped into lines.</summary>
internal sealed record WorkItem
{
    /// <summary>The graft.</summary>
    internal required GraftView View { get; init; }

    /// <summary>What to do.</summary>
    internal required WorkAction Action { get; init; }

    /// <summary>The hazard behind it; null for dated work.</summary>
    internal Hazard? Hazard { get; init; }

    /// <summary>How pressing.</summary>
    internal required Level Level { get; init; }

    /// <summary>Which kind of this work; only equal kinds share a line.</summary>
    internal string Kind { get; init; } = string.Empty;

    /// <summary>Not before; null when at once.</summary>
    internal Instant? DoFrom { get; init; }

    /// <summary>Not after; null when there is no hour.</summary>
    internal Instant? DoBy { get; init; }

    /// <summary>The hazard as judged; null for dated work.</summary>
    internal HazardOutcome? Outcome { get; init; }

    /// <summary>The spell that decides; null for dated work.</summary>
    internal Spell? Spell { get; init; }

    /// <summary>The remedy; null for dated work and where nothing known helps.</summary>
    internal RemedyChoice? Choice { get; init; }

    /// <summary>The union under the course of weather whose numbers are told; null for dated work.</summary>
    internal UnionCase? Union { get; init; }

    /// <summary>Other hazards of the same graft that this work is meant for too, each with what it does to them.</summary>
    internal IReadOnlyList<WorkItem> AlsoFor { get; init; } = [];

    /// <summary>The dated task; null for hazards.</summary>
    internal DatedTask? Task { get; init; }

    /// <summary>Worst hours of the other days on which the hazard asks for work.</summary>
    internal IReadOnlyList<int> OtherHours { get; init; } = [];

    /// <summary>Probability that the level is reached; null for a single run.</summary>
    internal double? Probability { get; init; }

    /// <summary>First hour for which a remedy is weighed: what ends before it can no longer be helped.</summary>
    internal int HelpedFrom { get; init; }

    /// <summary>Whether nothing can be done any more before the worst hour.</summary>
    internal bool TooLate { get; init; }

    /// <summary>For a frost that is too late to help: whether a cover was asked for before and nobody said what became of it.</summary>
    internal bool CoverWasAskedFor { get; init; }

    /// <summary>For knowledge of a night: whether there is still time to cover on its eve.</summary>
    internal bool EveIsAhead { get; init; }

    /// <summary>Level before it was lowered for having been said before; null when it was not lowered.</summary>
    internal Level? Reached { get; init; }

    /// <summary>Every kind of work in it: its action, and the second one of a remedy in two steps.</summary>
    internal IEnumerable<WorkAction> Actions => Choice?.Remedy?.Also is { } also ? [Action, also.Action] : [Action];

    /// <summary>First day it was said and not answered; null when new.</summary>
    internal LocalDate? OpenSince { get; init; }
}
