using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Microclimate.Sites;
using GraftWatch.Settings.Faults;
using GraftWatch.Settings.Keys;
using GraftWatch.Settings.Toml;
using NodaTime;
using NodaTime.Text;
using static GraftWatch.Settings.Installation.InstallationKeys;

namespace GraftWatch.Settings.Installation;

/// <summary>Reads graftwatch.toml.</summary>
internal sealed class InstallationFile(FaultList faults, FaultList warnings, string folder, IReadOnlyDictionary<string, string> species)
{
    private static readonly LocalTimePattern HourPattern = LocalTimePattern.CreateWithInvariantCulture("H:mm");

    /// <summary>The settings; meaningless when the list holds faults.</summary>
    internal GraftWatchSettings Read(TomlTable root)
    {
        var reader = new TableReader(root, string.Empty, Root, faults);
        IReadOnlyList<TableReader> placeTables = reader.Sections(PlaceSection);
        List<Place> places = placeTables.Select(ReadPlace).ToList();
        var names = new Dictionary<string, Place>(StringComparer.OrdinalIgnoreCase);
        foreach (Place place in places)
        {
            names.TryAdd(place.Name, place);
        }

        RefuseTwice(placeTables, PlaceName);
        IReadOnlyList<TableReader> growers = reader.Sections(GrowerSection);
        RefuseTwice(growers, GrowerName);
        return new GraftWatchSettings
        {
            Places = places,
            Growers = growers.Select(g => ReadGrower(g, places, names)).ToList(),
            Mail = reader.Section(MailSection) is { } mail ? ReadMail(mail) : null,
            Weather = new WeatherReading(reader.Section(WeatherSection), placeTables, warnings, Beside).Read(),
            DataFolder = Beside(reader.Text(DataFolder, "data")),
            File = faults.File,
        };
    }

    private Place ReadPlace(TableReader reader)
    {
        var assumed = new List<string>();
        double Number(KeySpec spec, double otherwise)
        {
            if (!reader.Has(spec))
            {
                assumed.Add($"{spec.Key.Replace('_', ' ')}: {spec.Default}");
            }

            return reader.Number(spec, otherwise);
        }

        var site = new Site
        {
            LatitudeDeg = reader.Number(Latitude),
            LongitudeDeg = reader.Number(Longitude),
            ElevationM = reader.Number(Elevation),
            ShelterWindFrac = Number(Shelter, 1),
            GroundAlbedoFrac = Number(Ground, 0.20),
            RoughnessM = Number(Roughness, 0.03),
            AvailableSoilWaterMm = Number(Soil, 150),
            FrostOffsetK = Number(FrostOffset, 0),
            HorizonDeg = ReadHorizon(reader, assumed),
        };
        WarnAboutNowhere(reader, site);
        return new Place(reader.Text(PlaceName), site, ReadZone(reader)) { Assumed = assumed };
    }

    private static IReadOnlyList<double> ReadHorizon(TableReader reader, List<string> assumed)
    {
        IReadOnlyList<double> horizon = reader.Numbers(Horizon);
        if (!reader.Has(Horizon))
        {
            assumed.Add("horizon: " + Horizon.Default);
        }
        else if (horizon.Count is 1 or 2 or 3 or > 360)
        {
            reader.Fault(Horizon, $"{horizon.Count} heights make no skyline.", "Expected 4 to 360 heights, evenly spaced, the first at north.");
        }

        return horizon;
    }

    private void WarnAboutNowhere(TableReader reader, Site site)
    {
        if (site is { LatitudeDeg: 0, LongitudeDeg: 0 })
        {
            (int line, int column) = reader.Place(Latitude);
            warnings.Add(line, column, TableReader.Join(reader.Path, Latitude.Key), "Latitude and longitude are both 0, a place in the sea off Africa.", "Fill in the coordinates of the orchard.");
        }
    }

    private static DateTimeZone ReadZone(TableReader reader)
    {
        string name = reader.Text(Zone);
        if (name.Length == 0)
        {
            return DateTimeZone.Utc;
        }

        IDateTimeZoneProvider zones = DateTimeZoneProviders.Tzdb;
        DateTimeZone? zone = zones.GetZoneOrNull(name);
        if (zone is null || !zones.Ids.Contains(name))
        {
            string? city = zones.Ids.FirstOrDefault(id => id.EndsWith("/" + name.Replace(' ', '_'), StringComparison.OrdinalIgnoreCase));
            string near = city is null ? TableReader.Nearest(name, zones.Ids) : $"Nearest known: {city}.";
            reader.Fault(Zone, $"'{(name.Length > 40 ? name[..40] + "…" : name)}' is not a time zone.", near.Length > 0 ? near : "Expected an IANA name of the form Region/City.");
        }

        return zone ?? DateTimeZone.Utc;
    }

    private GrowerSettings ReadGrower(TableReader reader, List<Place> places, Dictionary<string, Place> byName)
    {
        var own = new List<Place>();
        IReadOnlyList<string> named = reader.Texts(GrowerPlaces);
        foreach (string name in named)
        {
            if (byName.TryGetValue(name, out Place? place))
            {
                own.Add(place);
            }
            else
            {
                reader.Fault(GrowerPlaces, $"There is no place named '{name}'.", TableReader.Nearest(name, byName.Keys));
            }
        }

        own = reader.Has(GrowerPlaces) ? own : places;
        string[] ownNames = [.. own.Select(p => p.Name)];
        return new GrowerSettings
        {
            Name = reader.Text(GrowerName),
            Address = Mailbox(reader, InstallationKeys.Address),
            LetterTime = ReadHour(reader),
            Units = reader.Word(UnitsKey, "metric") == "us" ? UnitSystem.UnitedStates : UnitSystem.Metric,
            Places = ownNames,
            Zone = own.Count > 0 ? own[0].Zone : DateTimeZone.Utc,
            RegisterPath = reader.Text(Register) is { Length: > 0 } path ? Beside(path) : null,
            Planned = reader.Texts(InstallationKeys.Planned, text => PlannedWords.Read(text, species, ownNames)),
        };
    }

    private static LocalTime ReadHour(TableReader reader)
    {
        string text = reader.Text(LetterHour, "06:00");
        ParseResult<LocalTime> hour = HourPattern.Parse(text);
        if (!hour.Success)
        {
            reader.Fault(LetterHour, $"'{(text.Length > 20 ? text[..20] + "…" : text)}' is not a time of day.", "Expected hours and minutes, 00:00 to 23:59.");
        }

        return hour.Success ? hour.Value : new LocalTime(6, 0);
    }

    private MailSettings ReadMail(TableReader reader)
    {
        MailSecurity security = reader.Word(Security) switch
        {
            "starttls" => MailSecurity.StartTls,
            "plain" => MailSecurity.Plain,
            _ => MailSecurity.Tls,
        };
        string user = reader.Text(User);
        string host = reader.Text(Host);
        if (security == MailSecurity.Plain && user.Length > 0 && host is not ("localhost" or "127.0.0.1" or "::1"))
        {
            (int line, int column) = reader.Place(Security);
            warnings.Add(line, column, "mail.security", $"The password would go to {host} readable by anyone on the way.", "Use starttls or tls.");
        }

        return new MailSettings
        {
            Host = host,
            Port = reader.Whole(Port, security switch { MailSecurity.Tls => 465, MailSecurity.StartTls => 587, _ => 25 }),
            Security = security,
            From = Mailbox(reader, From),
            User = user.Length > 0 ? user : null,
            PasswordFile = reader.Text(PasswordFile) is { Length: > 0 } path ? Beside(path) : null,
        };
    }

    private static string Mailbox(TableReader reader, KeySpec spec)
    {
        string text = reader.Text(spec);
        int at = text.IndexOf('@', StringComparison.Ordinal);
        bool right = at > 0 && at == text.LastIndexOf('@') && at < text.Length - 1 && text.Length <= 254 && !text.Any(c => char.IsWhiteSpace(c) || char.IsControl(c) || c is '<' or '>' or ',' or ';');
        if (text.Length > 0 && !right)
        {
            reader.Fault(spec, $"'{(text.Length > 60 ? text[..60] + "…" : text)}' is not a mail address.", "Expected one address without a name.");
        }

        return text;
    }

    private void RefuseTwice(IReadOnlyList<TableReader> tables, KeySpec spec)
    {
        var seen = new Dictionary<string, int>(StringComparer.OrdinalIgnoreCase);
        foreach (TableReader table in tables)
        {
            (int line, int column) = table.Place(spec);
            string name = table.Has(spec) ? table.Text(spec) : string.Empty;
            if (name.Length > 0 && !seen.TryAdd(name, line))
            {
                faults.Add(line, column, TableReader.Join(table.Path, spec.Key), $"'{name}' is there twice; first on line {seen[name]}.", "Give each its own name.");
            }
        }
    }

    private string Beside(string path) => folder.Length == 0 || Path.IsPathFullyQualified(path) ? path : Path.GetFullPath(Path.Combine(folder, path));
}
