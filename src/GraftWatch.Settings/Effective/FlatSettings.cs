using System.Globalization;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Microclimate.Unions;
using GraftWatch.Settings.Handbooks;
using GraftWatch.Settings.Installation;
using GraftWatch.Settings.Quantities;
using NodaTime.Text;

namespace GraftWatch.Settings.Effective;

/// <summary>Settings as one line a value: the path it has in the file, and the value as people write it.</summary>
public static class FlatSettings
{
    private const string Unset = "not set";

    /// <summary>Every value of a handbook.</summary>
    public static IReadOnlyDictionary<string, string> Of(Handbook handbook)
    {
        var lines = new Dictionary<string, string>(StringComparer.Ordinal);
        foreach (SettingDefinition definition in SettingDefinitions.All)
        {
            foreach (SettingInForce setting in handbook.Thresholds.All[definition.Key])
            {
                string scope = setting.Scope.Specificity == 0 ? string.Empty : $" ({ScopeWords.Of(setting.Scope)})";
                lines[definition.Key + scope] = ThresholdKeys.Show(definition, setting.Value);
            }
        }

        Add(lines, "species", handbook.Species, Species);
        Add(lines, "cover", handbook.Covers, Cover);
        Add(lines, "tie", handbook.Ties, Tie);
        Add(lines, "seal", handbook.Seals, s => [("name", s.Name), ("pass", Share(s.PassFrac)), ("source", s.Source)]);
        Add(lines, "work", handbook.Work, w => [("minutes", Show(w.Minutes, Quantity.Minutes)), ("bring", List(w.Bring))]);
        return lines;
    }

    /// <summary>Every value of graftwatch.toml.</summary>
    public static IReadOnlyDictionary<string, string> Of(GraftWatchSettings settings)
    {
        var lines = new Dictionary<string, string>(StringComparer.Ordinal) { ["data_folder"] = settings.DataFolder };
        Add(lines, "place", settings.Places.ToDictionary(p => p.Name), p => Place(p, settings.Weather));
        Add(lines, "grower", settings.Growers.ToDictionary(g => g.Name), Grower);
        if (settings.Mail is { } mail)
        {
            AddAll(lines, "mail", [
                ("host", mail.Host), ("port", mail.Port.ToString(CultureInfo.InvariantCulture)), ("security", TradeNames.Kebab(mail.Security.ToString())),
                ("from", mail.From), ("from_name", mail.FromName), ("reply_to", mail.ReplyTo ?? Unset), ("certificate_sha256", mail.CertificateSha256 ?? Unset), ("user", mail.User ?? Unset), ("password_file", mail.PasswordFile ?? Unset)]);
        }

        Add(lines, "channel", settings.Channels.ToDictionary(c => c.Name), Channel);
        AddAll(lines, "letters", [("too_late", Hour(settings.Letters.TooLate)), ("missed", settings.Letters.SkipMissed ? "skip" : "make-once")]);
        AddAll(lines, "page", [
            ("public_address", settings.Page.PublicAddress?.AbsoluteUri ?? Unset), ("listen", settings.Page.Listen),
            ("trusted_proxies", List(settings.Page.TrustedProxies.Select(n => n.ToString()))), ("subscriptions", YesNo(settings.Page.Subscriptions)),
            ("geocoder", settings.Page.Geocoder?.AbsoluteUri ?? Unset)]);
        AddAll(lines, "operator", [("address", settings.OperatorAddress ?? Unset)]);
        AddAll(lines, "store", Store(settings.Store));
        WeatherSettings weather = settings.Weather;
        AddAll(lines, "weather", [
            ("sources", List(weather.Sources)), ("compare", weather.Compare ?? Unset), ("ensemble", YesNo(weather.Ensemble)),
            ("address", weather.Address.AbsoluteUri), ("contact", weather.Contact)]);
        return lines;
    }

    private static (string Key, string Value)[] Species(SpeciesTraits s) =>
    [
        ("name", s.Name), ("also", List(s.AlsoCalled)),
        ("curve", s.Curve.Key),
        ("curve points", List(s.Curve.TemperaturesC.Zip(s.Curve.Rates, (c, r) => $"{Show(c, Quantity.Temperature)} {Share(r)}"))),
        ("optimum_days_factor", Units.Number(s.OptimumDaysFactor)),
        ("take_from", Show(s.TakeFromC, Quantity.Temperature)), ("take_to", Show(s.TakeToC, Quantity.Temperature)),
        ("callus_retarded", Show(s.CallusRetardedC, Quantity.Temperature)), ("callus_killed", Show(s.CallusKilledC, Quantity.Temperature)),
        ("cold_stall", Show(s.ColdStallC, Quantity.Temperature)),
        ("bleeding", TradeNames.Kebab(s.Bleeding.ToString())), ("sap_weight", Share(s.SapWeightFrac)), ("freeze_thaw_sap", YesNo(s.FreezeThawSap)),
        ("bark_absorptance", Share(s.BarkSolarAbsorptanceFrac)), ("green_wood_strength", Units.Number(s.GreenWoodStrengthPa / 1e6) + " MPa"),
        ("evergreen", YesNo(s.Evergreen)), ("hardy_dormant", YesNo(s.HardyDormant)),
        ("slit_at_shoot", Show(s.SlitAtShootM, Quantity.Length)), ("stock_shoots_every", Show(s.StockShootEveryDays, Quantity.Days)),
        ("frost", List(s.Frost.Select(f => $"{f.BbchFrom}-{f.BbchTo} {f.Name} {Show(f.Kill10C, Quantity.Temperature)} {Show(f.Kill90C, Quantity.Temperature)}"))),
        ("skin_caution", s.SkinCaution ?? Unset), ("source", List(s.Sources)),
    ];

    private static (string Key, string Value)[] Cover(CoverMaterial c) =>
    [
        ("name", c.Name), ("layers", List(c.Layers.Select(Layer))), ("fit_minutes", Show(c.FitMinutes, Quantity.Minutes)), ("wet_inside", YesNo(c.WetInside)),
        ("frost_gain", Show(c.FrostGainK, Quantity.TemperatureDifference)), ("source", c.Source),
    ];

    private static string Layer(CoverLayer l) => string.Join(
        ' ',
        l.Name,
        "solar_absorptance " + Share(l.SolarAbsorptanceFrac),
        "solar_transmittance " + Share(l.SolarTransmittanceFrac),
        "emissivity " + Share(l.EmissivityFrac),
        "infrared_transmittance " + Share(l.InfraredTransmittanceFrac),
        "gap_resistance " + Show(l.GapResistanceM2KPerW, Quantity.ThermalResistance),
        "added_diameter " + Show(l.AddedDiameterM, Quantity.Length),
        "vapour_pass " + Share(l.VapourPassFrac),
        "shade " + Share(l.ShadeFrac));

    private static (string Key, string Value)[] Tie(TieMaterial t) =>
    [
        ("name", t.Name), ("first_look", Show(t.FirstLookDays, Quantity.Days)), ("slit_from", Show(t.SlitFromDays, Quantity.Days)),
        ("slit_by", Show(t.SlitByDays, Quantity.Days)), ("rots", YesNo(t.Rots)), ("source", t.Source),
    ];

    private static (string Key, string Value)[] Place(Place p, WeatherSettings weather) =>
    [
        ("latitude", Units.Number(p.Site.LatitudeDeg)), ("longitude", Units.Number(p.Site.LongitudeDeg)), ("elevation", Show(p.Site.ElevationM, Quantity.Length)),
        ("zone", p.Zone.Id), ("shelter", Share(p.Site.ShelterWindFrac)), ("ground", Share(p.Site.GroundAlbedoFrac)), ("roughness", Show(p.Site.RoughnessM, Quantity.Length)),
        ("soil", Show(p.Site.AvailableSoilWaterMm, Quantity.Rain)), ("frost_offset", Show(p.Site.FrostOffsetK, Quantity.TemperatureDifference)),
        ("sources", weather.SourcesOfPlace.TryGetValue(p.Name, out IReadOnlyList<string>? own) ? List(own) : Unset),
        ("station", weather.StationOfPlace.GetValueOrDefault(p.Name) ?? Unset),
        ("horizon", p.Site.HorizonDeg.Count == 0 ? "free" : List(p.Site.HorizonDeg.Select(Units.Number))),
    ];

    private static (string Key, string Value)[] Grower(GrowerSettings g) =>
    [
        ("address", g.Address), ("letter_hour", Hour(g.LetterTime)),
        ("units", g.Units == UnitSystem.Metric ? "metric" : "us"), ("language", g.Language ?? Unset), ("places", List(g.Places)), ("register", g.RegisterPath ?? Unset),
        ("planned", List(g.Planned.Select(plan => $"{plan.Species} {TradeNames.Key(plan.Technique)} at {plan.Place}"))),
        ("morning", List(g.Morning)), ("urgent", List(g.Urgent)), ("urgent_a_day", g.UrgentADay.ToString(CultureInfo.InvariantCulture)),
        ("hold_from", g.HoldFrom is { } from ? Hour(from) : Unset), ("hold_until", g.HoldUntil is { } until ? Hour(until) : Unset),
        ("frost_passes", YesNo(g.FrostPasses)), ("picture", YesNo(g.Picture)), ("calendar", YesNo(g.Calendar)),
    ];

    private static (string Key, string Value)[] Channel(ChannelSettings c) =>
    [
        ("kind", TradeNames.Kebab(c.Kind.ToString())), ("address", c.Address.AbsoluteUri), ("room", c.Room ?? Unset), ("user", c.User ?? Unset),
        ("secret_file", c.SecretFile ?? Unset), ("headers", List(c.Headers.Select(h => $"{h.Key}: {h.Value}"))),
        ("longest", c.LongestBytes.ToString(CultureInfo.InvariantCulture)), ("inside", YesNo(c.Inside)),
    ];

    private static (string Key, string Value)[] Store(StoreSettings s) => s.Kind == StoreKind.Sqlite ? [("kind", "sqlite")] :
    [
        ("kind", "postgresql"), ("host", s.Host), ("port", s.Port.ToString(CultureInfo.InvariantCulture)), ("database", s.Database), ("user", s.User),
        ("security", s.Tls ? "tls" : "plain"), ("password_file", s.PasswordFile ?? Unset),
    ];

    private static string Hour(NodaTime.LocalTime time) => LocalTimePattern.CreateWithInvariantCulture("HH:mm").Format(time);

    private static void Add<T>(Dictionary<string, string> lines, string table, IReadOnlyDictionary<string, T> all, Func<T, (string Key, string Value)[]> flatten)
    {
        foreach ((string key, T value) in all)
        {
            AddAll(lines, table + "." + key, flatten(value));
        }
    }

    private static void AddAll(Dictionary<string, string> lines, string path, (string Key, string Value)[] values)
    {
        foreach ((string key, string value) in values)
        {
            lines[path + "." + key] = value;
        }
    }

    private static string Show(double value, Quantity quantity) => double.IsNaN(value) ? Unset : Units.Write(Math.Round(value, 9), quantity);

    private static string Share(double value) => Units.Number(value);

    private static string YesNo(bool value) => value ? "true" : "false";

    private static string List(IEnumerable<string> items) => string.Join("; ", items) is { Length: > 0 } text ? text : "none";
}
