using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Forecasts.OpenForecast;

/// <summary>How a reply is to be read.</summary>
internal sealed record ReplyReading
{
    /// <summary>What to call the reply in sentences.</summary>
    public required string Name { get; init; }

    /// <summary>Hours that end at or before it are past; null when every hour counts as forecast.</summary>
    public Instant? StartOfForecast { get; init; }

    /// <summary>Origin of past hours.</summary>
    public WeatherOrigin PastOrigin { get; init; } = WeatherOrigin.Analysed;

    /// <summary>Most bytes read.</summary>
    public int MostBytes { get; init; } = 96 * 1024 * 1024;

    /// <summary>Most hours of one location, about 22 years.</summary>
    public int MostHours { get; init; } = 200_000;

    /// <summary>Most locations, the API's own limit on its free host.</summary>
    public int MostLocations { get; init; } = 1000;

    /// <summary>Most ensemble members beside the control run.</summary>
    public int MostMembers { get; init; } = 100;
}
