using NodaTime;

namespace GraftWatch.Settings.Live;

/// <summary>How long files must stand still before they are judged.</summary>
public sealed record StandingStill
{
    /// <summary>After the last change of any file.</summary>
    /// <value>Two seconds: an editor's save is over by then.</value>
    public Duration Usual { get; init; } = Duration.FromSeconds(2);

    /// <summary>When a file is absent, empty or the mere beginning of what it was: most likely it is being written.</summary>
    /// <value>Fifteen seconds.</value>
    public Duration Unfinished { get; init; } = Duration.FromSeconds(15);
}
