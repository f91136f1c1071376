using GraftWatch.Microclimate.Weather;

namespace GraftWatch.Forecasts.OpenForecast;

/// <summary>What a reply of the open forecast API holds.</summary>
/// <param name="Locations">One entry a location, in the order of the request; empty when the reply as a whole cannot be used.</param>
/// <param name="Faults">What is wrong and what to do, one sentence each: faults of the whole reply, then those of each location.</param>
public sealed record SavedReplyResult(IReadOnlyList<ReplyLocation> Locations, IReadOnlyList<string> Faults)
{
    /// <summary>Whether every location has weather.</summary>
    public bool IsUsable => Locations.Count > 0 && Faults.Count == 0;
}

/// <summary>One location of a reply.</summary>
public sealed record ReplyLocation
{
    /// <summary>Position in the reply, from 0: match places by this, never by coordinates, which are those of the grid cell.</summary>
    public required int Index { get; init; }

    /// <summary>Latitude of the cell used. [°]; null when not given.</summary>
    public double? LatitudeDeg { get; init; }

    /// <summary>Longitude of the cell used. [°]; null when not given.</summary>
    public double? LongitudeDeg { get; init; }

    /// <summary>Height the values were brought to. [m]; null when not given.</summary>
    public double? ElevationM { get; init; }

    /// <summary>Time zone the reply was asked for; null when not given. The hours are UTC whatever it says.</summary>
    public string? TimeZone { get; init; }

    /// <summary>The hours; null when <see cref="Faults"/> says why there are none.</summary>
    public HourlyWeather? Weather { get; init; }

    /// <summary>Further members of an ensemble, the control run not among them; same grid as <see cref="Weather"/>.</summary>
    public IReadOnlyList<HourlyWeather> Members { get; init; } = [];

    /// <summary>What is missing, one sentence each.</summary>
    public IReadOnlyList<string> Gaps { get; init; } = [];

    /// <summary>Why there is no weather, one sentence each.</summary>
    public IReadOnlyList<string> Faults { get; init; } = [];
}
