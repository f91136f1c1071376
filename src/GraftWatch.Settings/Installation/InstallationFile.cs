using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Microclimate.Sites;
using GraftWatch.Settings.Faults;
using GraftWatch.Settings.Keys;
using GraftWatch.Settings.Toml;
using NodaTime;
using static GraftWatch.Settings.Installation.InstallationKeys;

namespace GraftWatch.Settings.Installation;

/// <summary>Reads graftwatch.toml.</summary>
internal sealed class InstallationFile(FaultList faults, FaultList warnings, string folder, IReadOnlyDictionary<string, string> species)
{
    /// <summary>Longest name of a grower: links in letters hold no more. [bytes of UTF-8]</summary>
    private const int LongestName = 255;

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
        AskForSections(reader, root);
        IReadOnlyList<TableReader> channels = reader.Sections(ChannelSection);
        RefuseTwice(channels, ChannelName);
        var outside = new OutsideReading(Beside);
        List<ChannelSettings> ways = channels.Select(outside.ReadChannel).OfType<ChannelSettings>().ToList();
        string[] wayNames = [ChannelSettings.Mail, .. channels.Where(c => c.Has(ChannelName)).Select(c => c.Text(ChannelName))];
        return new GraftWatchSettings
        {
            Places = places,
            Growers = growers.Select(g => ReadGrower(g, places, names, wayNames)).ToList(),
            Mail = reader.Section(MailSection) is { } mail ? ReadMail(mail) : null,
            Channels = ways,
            Letters = OutsideReading.ReadLetters(reader.Section(LettersSection)),
            Page = OutsideReading.ReadPage(reader.Section(PageSection)),
            OperatorAddress = reader.Section(OperatorSection) is { } keeper ? FieldReading.Mailbox(keeper, OperatorAddress) : null,
            Store = outside.ReadStore(reader.Section(StoreSection)),
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

    // Growers and places may live in the store only where there are pages to keep them by.
    private void AskForSections(TableReader reader, TomlTable root)
    {
        if (faults.HasSyntaxFaults || reader.Has(PageSection))
        {
            return;
        }

        foreach (KeySpec section in new[] { PlaceSection, GrowerSection }.Where(section => !reader.Has(section)))
        {
            faults.Add(root.Line, root.Column, section.Key, "This key is missing.", TableReader.Capital(section.Meaning), section.ExampleLine);
        }
    }

    private GrowerSettings ReadGrower(TableReader reader, List<Place> places, Dictionary<string, Place> byName, string[] ways)
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
            Name = ReadName(reader),
            Address = FieldReading.Mailbox(reader, InstallationKeys.Address),
            LetterTime = FieldReading.Hour(reader, LetterHour) ?? new LocalTime(6, 0),
            Units = reader.Word(UnitsKey, "metric") == "us" ? UnitSystem.UnitedStates : UnitSystem.Metric,
            Places = ownNames,
            Zone = own.Count > 0 ? own[0].Zone : DateTimeZone.Utc,
            RegisterPath = reader.Text(Register) is { Length: > 0 } path ? Beside(path) : null,
            Planned = reader.Texts(InstallationKeys.Planned, text => PlannedWords.Read(text, species, ownNames)),
            Language = reader.Word(Language) is { Length: > 0 } language ? language : null,
            Morning = ReadWays(reader, InstallationKeys.Morning, ways),
            Urgent = ReadWays(reader, Urgent, ways),
            UrgentADay = reader.Whole(UrgentADay, 3),
            HoldFrom = FieldReading.Hour(reader, HoldFrom, HoldUntil),
            HoldUntil = FieldReading.Hour(reader, HoldUntil, HoldFrom),
            FrostPasses = reader.Flag(FrostPasses, true),
            Picture = reader.Flag(PictureKey, true),
            Calendar = reader.Flag(CalendarKey, true),
        };
    }

    private static string ReadName(TableReader reader)
    {
        string name = reader.Text(GrowerName);
        int bytes = System.Text.Encoding.UTF8.GetByteCount(name);
        if (bytes > LongestName || name.Any(char.IsControl))
        {
            reader.Fault(GrowerName, bytes > LongestName ? $"The name is too long ({bytes} bytes)." : "The name holds a control character.", $"Expected at most {LongestName} bytes of UTF-8 on one line.");
        }

        return name;
    }

    private static IReadOnlyList<string> ReadWays(TableReader reader, KeySpec spec, string[] ways)
    {
        if (!reader.Has(spec))
        {
            return [ChannelSettings.Mail];
        }

        IReadOnlyList<string> named = reader.Texts(spec);
        foreach (string name in named.Except(ways, StringComparer.Ordinal))
        {
            reader.Fault(spec, $"There is no channel named '{(name.Length > 40 ? name[..40] + "…" : name)}'.", TableReader.Nearest(name, ways));
        }

        if (named.Distinct(StringComparer.Ordinal).Count() < named.Count)
        {
            reader.Fault(spec, "A channel is there twice.", "Name each once.");
        }

        return named;
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
            From = FieldReading.Mailbox(reader, From),
            FromName = reader.Text(FromName, "GraftWatch"),
            ReplyTo = reader.Has(ReplyTo) ? FieldReading.Mailbox(reader, ReplyTo) : null,
            CertificateSha256 = FieldReading.Digest(reader, Certificate),
            User = user.Length > 0 ? user : null,
            PasswordFile = reader.Text(PasswordFile) is { Length: > 0 } path ? Beside(path) : null,
        };
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
