using GraftWatch.Settings.Keys;
using GraftWatch.Settings.Quantities;

namespace GraftWatch.Settings.Installation;

/// <summary>The keys of graftwatch.toml.</summary>
internal static class InstallationKeys
{
    internal const string DefaultWeatherAddress = "https://api.open-meteo.com";

    internal static readonly KeySpec DataFolder = KeySpec.Line("data_folder", "folder of the store and of letters, beside this file unless the path is absolute.", "data").Otherwise("data");

    internal static readonly KeySpec PlaceName = KeySpec.Line("name", "name of the place, as the register writes it.", "Home orchard").AsRequired();
    internal static readonly KeySpec Latitude = KeySpec.Number("latitude", Quantity.Angle, -90, 90, "degrees, north positive.", "51.2").AsRequired();
    internal static readonly KeySpec Longitude = KeySpec.Number("longitude", Quantity.Angle, -180, 180, "degrees, east positive.", "7.4").AsRequired();
    internal static readonly KeySpec Elevation = KeySpec.Number("elevation", Quantity.Length, -430, 9000, "height above the sea.", "\"120 m\"").AsRequired();
    internal static readonly KeySpec Zone = KeySpec.Line("zone", "time zone of the place by its IANA name.", "Europe/Berlin").AsRequired();
    internal static readonly KeySpec Shelter = KeySpec.Number("shelter", Quantity.Fraction, 0.1, 1, "share of the open-field wind that reaches the grafts, or a word (common practice, no source).").Otherwise("open")
        .Or(new("open", 1.0), new("hedged", 0.7), new("sheltered", 0.5), new("walled", 0.3));
    internal static readonly KeySpec Ground = KeySpec.Number("ground", Quantity.Fraction, 0.05, 0.9, "share of sunlight the ground throws back, or a word (usual published means; snow for old snow).").Otherwise("grass")
        .Or(new("grass", 0.20), new("bare soil", 0.17), new("wet soil", 0.10), new("gravel", 0.25), new("straw", 0.30), new("sand", 0.40), new("concrete", 0.30), new("snow", 0.65));
    internal static readonly KeySpec Roughness = KeySpec.Number("roughness", Quantity.Length, 0.001, 3, "roughness length of the surroundings, or a word.").Otherwise("short grass")
        .Or(new("short grass", 0.03), new("long grass", 0.05), new("scattered trees", 0.1), new("orchard", 0.3), new("village", 0.5));
    internal static readonly KeySpec Soil = KeySpec.Number("soil", Quantity.Rain, 20, 400, "water the root zone can hold for the stock, or the kind of soil (for one metre of roots, near the middle of the ranges of FAO paper 56, table 19, from memory).").Otherwise("loam")
        .Or(new("loam", 150), new("sand", 80), new("loamy sand", 90), new("sandy loam", 130), new("silt loam", 160), new("clay loam", 160), new("clay", 160));
    internal static readonly KeySpec FrostOffset = KeySpec.Number("frost_offset", Quantity.TemperatureDifference, -8, 8, "how much colder (negative) or milder the place is than the forecast on clear calm nights.", "\"-1.5 K\"").Otherwise("0 K");
    internal static readonly KeySpec Horizon = KeySpec.Numbers("horizon", Quantity.Angle, 0, 80, "height of the skyline in degrees at even steps of azimuth, clockwise from north.", "[0, 0, 5, 12, 20, 8, 0, 0]").Otherwise("a free horizon");

    internal static readonly KeySpec PlaceSources = KeySpec.Lines("sources", "the place's own order of weather sources.", "[\"met-norway\", \"open-meteo\"]").Among(WeatherSettings.SourceWords).Otherwise("the order in [weather]");
    internal static readonly KeySpec StationPath = KeySpec.Line("file", "path of the CSV or JSON file the station's program writes, beside this file unless absolute; docs/weather.md tells its columns.", "station.csv").AsRequired();
    internal static readonly KeySpec StationSection = KeySpec.Section("station", new TableSpec("station", StationPath), "the grower's own weather station at this place.", "{ file = \"station.csv\" }").Otherwise("no station");

    internal static readonly KeySpec GrowerName = KeySpec.Line("name", "name as the letter greets.", "Ada").AsRequired();
    internal static readonly KeySpec Address = KeySpec.Line("address", "mail address the letter goes to.", "ada@example.org").AsRequired();
    internal static readonly KeySpec LetterHour = KeySpec.Line("letter_hour", "local time of the morning letter, 00:00 to 23:59.", "06:00").Otherwise("06:00");
    internal static readonly KeySpec UnitsKey = KeySpec.OneOf("units", ["metric", "us"], "units of the letter: metric (°C, km/h, mm) or us (°F, mph, inches).").Otherwise("metric");
    internal static readonly KeySpec GrowerPlaces = KeySpec.Lines("places", "names of the grower's places; the first gives the zone of the letter hour.", "[\"Home orchard\"]").Otherwise("all places");
    internal static readonly KeySpec Register = KeySpec.Line("register", "path of the register as CSV, beside this file unless absolute.", "register.csv").Otherwise("the register lives in the store only");

    internal static readonly KeySpec Planned = KeySpec.Lines("planned", "graftings planned: species and technique, and behind \"at\" the place unless it is the grower's first; the letter says which of the next ten days suit them.", "[\"apple whip-and-tongue\", \"walnut patch-bud at Home orchard\"]").OrEmpty().Otherwise("nothing planned");

    internal static readonly KeySpec Host = KeySpec.Line("host", "name of the mail server.", "mail.example.org").AsRequired();
    internal static readonly KeySpec Port = KeySpec.Whole("port", 1, 65535, "port of the mail server.", "587").Otherwise("465 for tls, 587 for starttls, 25 for plain");
    internal static readonly KeySpec Security = KeySpec.OneOf("security", ["starttls", "tls", "plain"], "how the line is secured: tls (encrypted from the start), starttls (must switch to encryption), plain (only for a server on the same machine).").AsRequired();
    internal static readonly KeySpec From = KeySpec.Line("from", "address letters come from.", "graftwatch@example.org").AsRequired();
    internal static readonly KeySpec User = KeySpec.Line("user", "user name at the mail server.", "graftwatch").Otherwise("no sign-in");
    internal static readonly KeySpec PasswordFile = KeySpec.Line("password_file", "file that holds the password and nothing else.", "/etc/graftwatch/mail-password").Otherwise("the environment variable GRAFTWATCH_MAIL_PASSWORD, or the service manager's credential");

    internal static readonly KeySpec WeatherAddress = KeySpec.Line("address", "base address of the open forecast API.", DefaultWeatherAddress).Otherwise(DefaultWeatherAddress);
    internal static readonly KeySpec Sources = KeySpec.Lines("sources", "weather services in the order they are tried; the first that has a place's weather is used, and the letter names it.", "[\"open-meteo\", \"met-norway\"]").Among(WeatherSettings.SourceWords).Otherwise("open-meteo");
    internal static readonly KeySpec Compare = KeySpec.OneOf("compare", WeatherSettings.SourceWords, "a second service to hold the forecast against; the letter says where the two are far apart.").Otherwise("none");
    internal static readonly KeySpec Ensemble = KeySpec.YesNo("ensemble", "whether many equally likely courses of the coming days are fetched, which tell how sure a warning is; weighs on the service about thirty times as much as a forecast.").Otherwise("false");
    internal static readonly KeySpec Contact = KeySpec.Line("contact", "mail address or page by which a weather service can reach you; met-norway and us-national-weather-service ask for one.", "ada@example.org").OrEmpty().Otherwise("none");

    internal static readonly TableSpec PlaceTable = new("place", PlaceName, Latitude, Longitude, Elevation, Zone, Shelter, Ground, Roughness, Soil, FrostOffset, Horizon, PlaceSources, StationSection);
    internal static readonly TableSpec GrowerTable = new("grower", GrowerName, Address, LetterHour, UnitsKey, GrowerPlaces, Register, Planned);
    internal static readonly TableSpec MailTable = new("mail", Host, Port, Security, From, User, PasswordFile);
    internal static readonly TableSpec WeatherTable = new("weather", Sources, Compare, Ensemble, WeatherAddress, Contact);

    internal static readonly KeySpec PlaceSection = KeySpec.Sections("place", PlaceTable, "a place where grafts stand; there may be several.", "[[place]]").AsRequired();
    internal static readonly KeySpec GrowerSection = KeySpec.Sections("grower", GrowerTable, "who gets a letter; there may be several.", "[[grower]]").AsRequired();
    internal static readonly KeySpec MailSection = KeySpec.Section("mail", MailTable, "the mail server that carries letters.").Otherwise("letters are only printed");
    internal static readonly KeySpec WeatherSection = KeySpec.Section("weather", WeatherTable, "the weather sources; a change is in force after a restart.").Otherwise("the open forecast API");

    internal static readonly TableSpec Root = new(string.Empty, DataFolder, PlaceSection, GrowerSection, MailSection, WeatherSection);
}
