using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Microclimate.Sites;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Settings;
using NodaTime;

namespace GraftWatch.Aftercare.Tests.Scenes;

/// <summary>What the tests of advice share: the shipped handbook, an invented nursery and rounds over invented or measured hours.</summary>
internal static class Bench
{
    private static readonly Lazy<Handbook> Shipped = new(() =>
    {
        Loaded<Handbook> loaded = SettingsLoader.LoadHandbook(folder: null);
        return loaded.IsValid ? loaded.Value : throw new InvalidOperationException(loaded.ToString());
    });

    /// <summary>The handbook of the shipped files.</summary>
    internal static Handbook Handbook => Shipped.Value;

    /// <summary>An invented nursery in the north.</summary>
    internal static Place North { get; } = new(
        "Larkhollow", new Site { LatitudeDeg = 48.5, LongitudeDeg = 9.0, ElevationM = 350 }, DateTimeZoneProviders.Tzdb["Europe/Berlin"]);

    /// <summary>An invented nursery in the south.</summary>
    internal static Place South { get; } = new(
        "Wrenfield", new Site { LatitudeDeg = -41.3, LongitudeDeg = 173.2, ElevationM = 40 }, DateTimeZoneProviders.Tzdb["Pacific/Auckland"]);

    /// <summary>A graft like many: one apple whip on a 12 mm stock, facing south, bare.</summary>
    internal static Graft Graft(string label, LocalDate made, string species = "apple", Technique technique = Technique.WhipAndTongue) => new()
    {
        Label = label,
        Place = "Larkhollow",
        Block = "B",
        Species = species,
        Technique = technique,
        Made = made,
        AspectDeg = 180,
        HeightM = 0.4,
        DiameterM = 0.012,
        Tie = "budding-strip",
        Seal = "wax",
    };

    /// <summary>A round at six in the morning.</summary>
    internal static Round Round(SceneWeather weather, IReadOnlyList<Graft> grafts, LocalDate date, Func<RoundRequest, RoundRequest>? change = null) =>
        Round(weather.Place, weather.Build(), grafts, date, change);

    /// <summary>A round at six in the morning.</summary>
    internal static Round Round(Place place, HourlyWeather hours, IReadOnlyList<Graft> grafts, LocalDate date, Func<RoundRequest, RoundRequest>? change = null)
    {
        Instant now = Morning(place, date);
        var forecast = new ForecastInfo("Invented hours", string.Empty, now, hours.FirstHourEnd, hours.LastHourEnd, []);
        var request = new RoundRequest
        {
            Date = date,
            Now = now,
            Grower = "Mara Quill",
            Places = [new PlaceWeather(place, hours, forecast)],
            Grafts = [.. grafts.Select(graft => graft with { Place = place.Name })],
            Handbook = Handbook,
        };
        return RoundMaker.Make(change?.Invoke(request) ?? request);
    }

    /// <summary>Six in the morning at a place.</summary>
    internal static Instant Morning(Place place, LocalDate date) => date.At(new LocalTime(6, 0)).InZoneLeniently(place.Zone).ToInstant();
}
