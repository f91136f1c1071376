using GraftWatch.Settings.Faults;
using GraftWatch.Settings.Keys;
using static GraftWatch.Settings.Installation.InstallationKeys;

namespace GraftWatch.Settings.Installation;

/// <summary>Reads where weather comes from: the table [weather], and what places say of their own sources and stations.</summary>
internal sealed class WeatherReading(TableReader? weather, IReadOnlyList<TableReader> places, FaultList warnings, Func<string, string> beside)
{
    private const string NoContact = " wants to know whom it can reach.";

    /// <summary>The services that answer nobody who does not say who asks.</summary>
    private static readonly string[] WantContact = ["met-norway", "us-national-weather-service"];

    /// <summary>The settings; meaningless when the list holds faults.</summary>
    internal WeatherSettings Read()
    {
        var sourcesOfPlace = new Dictionary<string, IReadOnlyList<string>>(StringComparer.Ordinal);
        var stationOfPlace = new Dictionary<string, string>(StringComparer.Ordinal);
        foreach (TableReader place in places.Where(place => place.Has(PlaceName)))
        {
            string name = place.Text(PlaceName);
            if (Order(place, PlaceSources) is { Count: > 0 } own)
            {
                sourcesOfPlace[name] = own;
            }

            if (place.Section(StationSection)?.Text(StationPath) is { Length: > 0 } path)
            {
                stationOfPlace[name] = beside(path);
            }
        }

        IReadOnlyList<string> sources = weather is null ? [] : Order(weather, Sources);
        var settings = new WeatherSettings
        {
            Address = Address(),
            Contact = Contact(),
            Sources = sources.Count > 0 ? sources : ["open-meteo"],
            SourcesOfPlace = sourcesOfPlace,
            Compare = weather?.Word(Compare) is { Length: > 0 } second ? second : null,
            Ensemble = weather?.Flag(Ensemble) ?? false,
            StationOfPlace = stationOfPlace,
        };
        AskForContact(settings);
        WarnAboutItself(settings);
        return settings;
    }

    private static IReadOnlyList<string> Order(TableReader reader, KeySpec spec)
    {
        IReadOnlyList<string> order = reader.Texts(spec);
        if (order.GroupBy(word => word, StringComparer.Ordinal).FirstOrDefault(same => same.Count() > 1) is { } twice)
        {
            reader.Fault(spec, $"'{twice.Key}' is there twice.", "Name each once, the first to be tried first.");
        }

        return order;
    }

    private Uri Address()
    {
        var usual = new Uri(DefaultWeatherAddress);
        string text = weather?.Text(WeatherAddress, DefaultWeatherAddress) ?? DefaultWeatherAddress;
        if (Uri.TryCreate(text, UriKind.Absolute, out Uri? given) && given.Scheme is "http" or "https" && given.Host.Length > 0)
        {
            return given;
        }

        weather?.Fault(WeatherAddress, "This is not a web address.", "Expected https:// and a host.");
        return usual;
    }

    private string Contact()
    {
        string contact = weather?.Text(InstallationKeys.Contact) ?? string.Empty;
        if (contact.Any(c => c is < ' ' or > '~'))
        {
            weather!.Fault(InstallationKeys.Contact, "A letter in it cannot be sent to a web service.", "Expected a mail address or a page, in plain letters on one line.");
        }

        return contact;
    }

    // The services refuse to answer without; better a fault while one edits than a letter without weather.
    private void AskForContact(WeatherSettings settings)
    {
        IEnumerable<string> everywhere = settings.Sources.Append(settings.Compare ?? string.Empty);
        string? wants = everywhere.FirstOrDefault(WantContact.Contains);
        TableReader? place = places.FirstOrDefault(p => p.Has(PlaceName) && settings.SourcesOfPlace.GetValueOrDefault(p.Text(PlaceName))?.Any(WantContact.Contains) == true);
        wants ??= place is null ? null : settings.SourcesOfPlace[place.Text(PlaceName)].First(WantContact.Contains);
        if (wants is null || settings.Contact.Contains('@', StringComparison.Ordinal) || settings.Contact.Contains("://", StringComparison.Ordinal))
        {
            return;
        }

        if (weather is null)
        {
            place!.Fault(PlaceSources, wants + NoContact, "Add a table [weather] with your contact, a mail address or a page.");
        }
        else
        {
            weather.Fault(InstallationKeys.Contact, wants + NoContact, "Expected a mail address or a page that begins with https://.");
        }
    }

    private void WarnAboutItself(WeatherSettings settings)
    {
        if (settings.Compare == settings.Sources[0] && settings.SourcesOfPlace.Count == 0)
        {
            (int line, int column) = weather!.Place(Compare);
            warnings.Add(line, column, TableReader.Join(weather.Path, Compare.Key), $"{settings.Compare} is also the first of the sources; there is nothing to compare.", "Name another service.");
        }
    }
}
