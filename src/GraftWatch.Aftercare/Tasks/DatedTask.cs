using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Thresholds;
using NodaTime;

namespace GraftWatch.Aftercare.Tasks;

/// <summary>Dated work at one graft that is due today.</summary>
internal sealed record DatedTask
{
    /// <summary>What to do.</summary>
    internal required WorkAction Action { get; init; }

    /// <summary>How pressing.</summary>
    internal required Level Level { get; init; }

    /// <summary>First day of the window.</summary>
    internal required LocalDate From { get; init; }

    /// <summary>Last day of the window.</summary>
    internal required LocalDate By { get; init; }

    /// <summary>Which kind of the work; grafts of one kind share a line.</summary>
    internal string Kind { get; init; } = string.Empty;

    /// <summary>Why, as a sentence.</summary>
    internal required string Why { get; init; }
}
