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

    internal static readonly KeySpec Morning = KeySpec.Lines("morning", "ways the morning letter goes: mail, or names of [[channel]] tables.", "[\"mail\"]").Otherwise("mail");
    internal static readonly KeySpec Urgent = KeySpec.Lines("urgent", "ways urgent notes go between two letters; [] for none.", "[\"mail\"]").OrEmpty().Otherwise("mail");
    internal static readonly KeySpec UrgentADay = KeySpec.Whole("urgent_a_day", 0, 10, "most urgent notes a local day.", "3").Otherwise("3");
    internal static readonly KeySpec HoldFrom = KeySpec.Line("hold_from", "local time from which urgent notes are held.", "21:30").Otherwise("never held");
    internal static readonly KeySpec HoldUntil = KeySpec.Line("hold_until", "local time until which urgent notes are held.", "05:30").Otherwise("never held");
    internal static readonly KeySpec FrostPasses = KeySpec.YesNo("frost_passes", "whether a note about frost goes out in the holding hours all the same.").Otherwise("true");
    internal static readonly KeySpec PictureKey = KeySpec.YesNo("picture", "whether the letter carries the picture of the next days.").Otherwise("true");
    internal static readonly KeySpec CalendarKey = KeySpec.YesNo("calendar", "whether the letter carries dated work for a calendar.").Otherwise("true");
    internal static readonly KeySpec Language = KeySpec.OneOf("language", ["en", "de"], "language of the grower's pages; letters are in English.").Otherwise("what the browser asks for");

    internal static readonly KeySpec ChannelName = KeySpec.Line("name", "name of the channel: small letters, digits and hyphens, at most 40; not mail.", "barn-broker").AsRequired();
    internal static readonly KeySpec ChannelKind = KeySpec.OneOf("kind", ["signed-post", "text-post", "mqtt", "matrix"], "what is spoken there: a signed JSON POST (Standard Webhooks), a short plain-text POST for gateways that push to phones, MQTT 5, or a Matrix room.").AsRequired();
    internal static readonly KeySpec ChannelAddress = KeySpec.Line("address", "where to: https:// for posts and for a Matrix homeserver; mqtts://host:port/topic or mqtt:// for a broker, to whose topic /morning or /urgent is added.", "https://push.example.org/orchard").AsRequired();
    internal static readonly KeySpec Room = KeySpec.Line("room", "id of the Matrix room.", "!abc:example.org").Otherwise("only matrix has one, and needs it");
    internal static readonly KeySpec ChannelUser = KeySpec.Line("user", "user name at the broker.", "graftwatch").Otherwise("no sign-in");
    internal static readonly KeySpec SecretFile = KeySpec.Line("secret_file", "file that holds the signing secret, password or access token and nothing else.", "/etc/graftwatch/barn-broker-secret").Otherwise("the environment variable GRAFTWATCH_CHANNEL_NAME (the name in capitals, _ for -), or the service manager's credential graftwatch-channel-NAME");
    internal static readonly KeySpec Headers = KeySpec.Lines("headers", "further headers a gateway wants, each \"Name: value\"; never a secret.", "[\"X-Title: Orchard\"]").Otherwise("none");
    internal static readonly KeySpec Longest = KeySpec.Whole("longest", 100, 100000, "longest text a gateway takes, in bytes; only for text-post.", "4000").Otherwise("4000");
    internal static readonly KeySpec Inside = KeySpec.YesNo("inside", "whether the address may lead into your own network; such addresses are refused otherwise.").Otherwise("false");

    internal static readonly KeySpec PublicAddress = KeySpec.Line("public_address", "address by which growers reach the pages, with the path of a reverse proxy if there is one; letters carry links only when it is set.", "https://grafts.example.org").Otherwise("no links in letters");
    internal static readonly KeySpec Listen = KeySpec.Line("listen", "address and port the pages listen on; the command's --listen comes first.", "127.0.0.1:8620").Otherwise("127.0.0.1:8620");
    internal static readonly KeySpec TrustedProxies = KeySpec.Lines("trusted_proxies", "addresses, or networks such as 10.0.0.0/8, of reverse proxies whose word about the caller is taken.", "[\"127.0.0.1\"]").Otherwise("nobody's word is taken");
    internal static readonly KeySpec Subscriptions = KeySpec.YesNo("subscriptions", "whether anyone may subscribe on the page; otherwise only the operator adds growers.").Otherwise("false");
    internal static readonly KeySpec Geocoder = KeySpec.Line("geocoder", "base address of an open geocoding API that finds places by name.", "https://geocoding-api.open-meteo.com").Otherwise("places are given by coordinates");

    internal static readonly KeySpec OperatorAddress = KeySpec.Line("address", "mail address that is told when something is amiss, and that may sign in to the operator's pages.", "operator@example.org").AsRequired();

    internal static readonly KeySpec StoreKindKey = KeySpec.OneOf("kind", ["sqlite", "postgresql"], "what keeps the records: a file in data_folder, or a PostgreSQL server that several machines share.").Otherwise("sqlite");
    internal static readonly KeySpec StoreHost = KeySpec.Line("host", "name of the PostgreSQL server, or the folder of its socket.", "db.example.org").Otherwise("localhost");
    internal static readonly KeySpec StorePort = KeySpec.Whole("port", 1, 65535, "port of the PostgreSQL server.", "5432").Otherwise("5432");
    internal static readonly KeySpec Database = KeySpec.Line("database", "name of the database; it must exist and belong to GraftWatch alone.", "graftwatch").Otherwise("graftwatch");
    internal static readonly KeySpec StoreUser = KeySpec.Line("user", "user name at the PostgreSQL server.", "graftwatch").Otherwise("graftwatch");
    internal static readonly KeySpec StoreSecurity = KeySpec.OneOf("security", ["tls", "plain"], "how the line is secured: tls (encrypted, the server's certificate is checked), or plain (only inside one machine or a closed network).").Otherwise("tls, and plain to a server on this machine");
    internal static readonly KeySpec StorePasswordFile = KeySpec.Line("password_file", "file that holds the password and nothing else.", "/etc/graftwatch/store-password").Otherwise("the environment variable GRAFTWATCH_STORE_PASSWORD, or the service manager's credential graftwatch-store-password");

    internal static readonly KeySpec TooLate = KeySpec.Line("too_late", "local time from which a morning letter has lost its use: it is no longer sent, and the next one says so.", "16:00").Otherwise("16:00");
    internal static readonly KeySpec Missed = KeySpec.OneOf("missed", ["make-once", "skip"], "what becomes of a letter whose hour passed while nothing ran: made once as soon as possible and marked late, or left out.").Otherwise("make-once");

    internal static readonly KeySpec ReplyTo = KeySpec.Line("reply_to", "address replies go to.", "graftwatch@example.org").Otherwise("nobody reads replies, and letters do not ask for any");
    internal static readonly KeySpec FromName = KeySpec.Line("from_name", "name beside the sender's address.", "GraftWatch").Otherwise("GraftWatch");
    internal static readonly KeySpec Certificate = KeySpec.Line("certificate_sha256", "SHA-256 of the mail server's certificate in hexadecimal, for a server with a certificate of its own.", "64 hexadecimal digits").Otherwise("the usual trust");

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
    internal static readonly TableSpec GrowerTable = new("grower", GrowerName, Address, LetterHour, UnitsKey, Language, GrowerPlaces, Register, Planned, Morning, Urgent, UrgentADay, HoldFrom, HoldUntil, FrostPasses, PictureKey, CalendarKey);
    internal static readonly TableSpec MailTable = new("mail", Host, Port, Security, From, FromName, ReplyTo, User, PasswordFile, Certificate);
    internal static readonly TableSpec WeatherTable = new("weather", Sources, Compare, Ensemble, WeatherAddress, Contact);

    internal static readonly TableSpec ChannelTable = new("channel", ChannelName, ChannelKind, ChannelAddress, Room, ChannelUser, SecretFile, Headers, Longest, Inside);
    internal static readonly TableSpec PageTable = new("page", PublicAddress, Listen, TrustedProxies, Subscriptions, Geocoder);
    internal static readonly TableSpec OperatorTable = new("operator", OperatorAddress);
    internal static readonly TableSpec StoreTable = new("store", StoreKindKey, StoreHost, StorePort, Database, StoreUser, StoreSecurity, StorePasswordFile);
    internal static readonly TableSpec LettersTable = new("letters", TooLate, Missed);

    internal static readonly KeySpec PlaceSection = KeySpec.Sections("place", PlaceTable, "a place where grafts stand; there may be several.", "[[place]]").Otherwise("a fault, unless there is a table [page] and growers are kept in the store");
    internal static readonly KeySpec GrowerSection = KeySpec.Sections("grower", GrowerTable, "who gets a letter; there may be several.", "[[grower]]").Otherwise("a fault, unless there is a table [page] and growers are kept in the store");
    internal static readonly KeySpec MailSection = KeySpec.Section("mail", MailTable, "the mail server that carries letters.").Otherwise("letters are only printed");
    internal static readonly KeySpec WeatherSection = KeySpec.Section("weather", WeatherTable, "the weather sources; a change is in force after a restart.").Otherwise("the open forecast API");

    internal static readonly KeySpec ChannelSection = KeySpec.Sections("channel", ChannelTable, "another way than mail; there may be several.", "[[channel]]").Otherwise("mail only");
    internal static readonly KeySpec PageSection = KeySpec.Section("page", PageTable, "the pages of serve; a change of listen and trusted_proxies is in force after a restart.").Otherwise("pages on this machine only, and no links in letters");
    internal static readonly KeySpec OperatorSection = KeySpec.Section("operator", OperatorTable, "who keeps this installation.").Otherwise("nobody is told by mail when something is amiss");
    internal static readonly KeySpec StoreSection = KeySpec.Section("store", StoreTable, "what keeps the records; a change is in force after a restart.").Otherwise("a file in data_folder");
    internal static readonly KeySpec LettersSection = KeySpec.Section("letters", LettersTable, "how mornings are kept.").Otherwise("the defaults of its keys");

    internal static readonly TableSpec Root = new(string.Empty, DataFolder, PlaceSection, GrowerSection, MailSection, ChannelSection, LettersSection, PageSection, OperatorSection, StoreSection, WeatherSection);
}
