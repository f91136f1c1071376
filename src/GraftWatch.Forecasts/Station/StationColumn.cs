using GraftWatch.Microclimate.Weather;

namespace GraftWatch.Forecasts.Station;

/// <summary>How readings become hours.</summary>
internal enum StationHour
{
    /// <summary>The value at the stamp, between the readings on both sides.</summary>
    AtStamp = 0,

    /// <summary>Mean of the readings in the hour before.</summary>
    Mean,

    /// <summary>Largest reading in the hour before.</summary>
    Largest,

    /// <summary>Sum of the readings in the hour before; each reading is the amount since the one before it.</summary>
    Sum,
}

/// <summary>A column of a station file. The unit is part of the name.</summary>
/// <param name="Name">Name in the file.</param>
/// <param name="Quantity">What it fills.</param>
/// <param name="Hour">How readings become hours.</param>
/// <param name="Scale">Factor to our unit.</param>
internal sealed record StationColumn(string Name, WeatherQuantity Quantity, StationHour Hour, double Scale = 1)
{
    public static IReadOnlyList<StationColumn> All { get; } =
    [
        new("air_c", WeatherQuantity.AirC, StationHour.AtStamp),
        new("rh_pct", WeatherQuantity.HumidityPct, StationHour.AtStamp),
        new("dew_point_c", WeatherQuantity.DewPointC, StationHour.AtStamp),
        new("wind_ms", WeatherQuantity.WindMPerS, StationHour.AtStamp),
        new("gust_ms", WeatherQuantity.GustMPerS, StationHour.Largest),
        new("ghi_wm2", WeatherQuantity.GlobalWPerM2, StationHour.Mean),
        new("rain_mm", WeatherQuantity.PrecipitationMm, StationHour.Sum),
        new("soil_c", WeatherQuantity.SoilShallowC, StationHour.AtStamp),
        new("pressure_hpa", WeatherQuantity.PressureKPa, StationHour.AtStamp, 0.1),
    ];

    /// <summary>The value in our unit, or NaN when no instrument can mean it.</summary>
    /// <remarks>Sensors read a few per cent above saturation in fog, and a few watts below nothing at night; both mean the bound. Common practice, no source.</remarks>
    public double Sane(double written)
    {
        double value = Scale * written;
        value = Quantity == WeatherQuantity.HumidityPct && value is > 100 and <= 105 ? 100 : value;
        value = Quantity == WeatherQuantity.GlobalWPerM2 && value is < 0 and >= -20 ? 0 : value;
        return Quality.PhysicalRange.Holds(Quantity, value) ? value : double.NaN;
    }
}
