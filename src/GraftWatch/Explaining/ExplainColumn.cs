using GraftWatch.Aftercare.Explaining;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Microclimate.Weather;

namespace GraftWatch.Explaining;

/// <summary>One column of <c>explain</c>: its name is a contract with other programs.</summary>
/// <param name="Name">Name in CSV and JSON.</param>
/// <param name="Meaning">What it holds, for the legend.</param>
/// <param name="Value">The value of an hour; NaN where not computable.</param>
/// <param name="Origin">Where the value of an hour came from; null for what is always computed here.</param>
internal sealed record ExplainColumn(string Name, string Meaning, Func<GraftHours, int, double> Value, Func<GraftHours, int, WeatherOrigin>? Origin = null)
{
    /// <summary>All numeric columns, in the order of the contract; <c>time</c> stands before, <c>stage</c> after them.</summary>
    internal static IReadOnlyList<ExplainColumn> All { get; } =
    [
        new("air_c", "air at 2 m at the stamp, °C", (h, i) => h.Weather[WeatherQuantity.AirC][i], Given(WeatherQuantity.AirC)),
        new("rh_pct", "relative humidity at the stamp, %", (h, i) => h.HumidityPct[i], GivenOr(WeatherQuantity.HumidityPct, (h, i) => h.HumidityPct[i])),
        new("dew_point_c", "dew point at the stamp, °C", (h, i) => h.DewPointC[i], GivenOr(WeatherQuantity.DewPointC, (h, i) => h.DewPointC[i])),
        new("wind_ms", "mean wind at 10 m at the stamp, m/s", (h, i) => h.Weather[WeatherQuantity.WindMPerS][i], Given(WeatherQuantity.WindMPerS)),
        new("gust_ms", "strongest gust of the hour at 10 m, m/s", (h, i) => h.GustMPerS[i], GivenOr(WeatherQuantity.GustMPerS, (h, i) => h.GustMPerS[i])),
        new("ghi_wm2", "sunlight on the level, mean of the hour, W/m²", (h, i) => h.Sky.GlobalWPerM2[i], (h, i) => h.Sky.GlobalOrigin[i]),
        new("sun_altitude_deg", "true altitude of the sun in the middle of the hour, °", (h, i) => 90 - h.Sky.SunZenithDeg[i]),
        new("sun_azimuth_deg", "azimuth of the sun, clockwise from north, °", (h, i) => h.Sky.SunAzimuthDeg[i]),
        new("beam_on_union_wm2", "direct sun on the patch that faces the aspect, W/m²", (h, i) => h.Union.BeamOnUnionWPerM2[i], (h, i) => h.Sky.BeamOrigin[i]),
        new("diffuse_on_union_wm2", "light of sky and ground on it, W/m²", (h, i) => h.Union.DiffuseOnUnionWPerM2[i], (h, i) => h.Sky.BeamOrigin[i]),
        new("bark_c", "outermost surface there, cover or bark, °C", (h, i) => h.Union.BarkC[i]),
        new("cambium_c", "living layer there, °C", (h, i) => h.Union.CambiumC[i]),
        new("tissue_night_c", "bud or young shoot beside it, °C", (h, i) => h.Union.BudC[i]),
        new("vpd_kpa", "vapour pressure deficit at its temperature, kPa", (h, i) => h.Union.VpdKPa[i]),
        new("et0_mm", "reference evapotranspiration of the hour, mm", (h, i) => h.RootZone.Et0MmPerHour[i]),
        new("soil_c", "root zone, °C", (h, i) => h.RootZone.SoilC[i]),
        new("sap_index", "sap pressure index of the stock", (h, i) => h.SapIndexValue[i]),
        new("shoot_moment_nm", "moment of the gust at the union, N m", (h, i) => h.ShootMomentNm[i]),
        new("shoot_safety", "strength of the union over that moment", (h, i) => h.ShootSafety[i]),
        new("healing_rate", "healing rate, 1 at the best temperature", (h, i) => h.HealingRate[i]),
        new("healing_days", "healing since grafting, days at the best temperature", (h, i) => h.HealingDays[i]),
    ];

    /// <summary>The header line of the contract.</summary>
    internal static string Header { get; } = "time," + string.Join(',', All.Select(column => column.Name)) + ",stage";

    /// <summary>The stage of an hour as files write it; empty before grafting.</summary>
    internal static string StageOf(GraftHours hours, int hour) => hours.Stage[hour] is { } stage ? TradeNames.Key(stage) : string.Empty;

    private static Func<GraftHours, int, WeatherOrigin> Given(WeatherQuantity quantity) => (hours, hour) => hours.Weather.OriginOf(quantity, hour);

    private static Func<GraftHours, int, WeatherOrigin> GivenOr(WeatherQuantity quantity, Func<GraftHours, int, double> value) => (hours, hour) =>
        hours.Weather.OriginOf(quantity, hour) is var origin and not WeatherOrigin.Missing ? origin
        : double.IsNaN(value(hours, hour)) ? WeatherOrigin.Missing
        : WeatherOrigin.Derived;
}
