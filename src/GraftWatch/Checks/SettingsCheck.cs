using System.Runtime.CompilerServices;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Serving;
using GraftWatch.Settings;
using GraftWatch.Settings.Faults;
using NodaTime.TimeZones;

namespace GraftWatch.Checks;

/// <summary>The files: every fault with its line, what is allowed and probably not meant, and places that are not where their zone is.</summary>
internal sealed class SettingsCheck : ICheck
{
    private const double EarthRadiusKm = 6371;
    private const double AnotherPartOfTheWorldKm = 4500;
    private const double FarKm = 1000;
    private const int MostBytes = 65536;
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(2);

    public string Subject => "settings";

    public bool NeedsSettings => false;

    public async IAsyncEnumerable<CheckLine> RunAsync(CheckScope scope, [EnumeratorCancellation] CancellationToken cancellationToken)
    {
        SettingsFault[] faults = [.. scope.File.Faults, .. scope.Handbook.Faults];
        foreach (SettingsFault fault in faults)
        {
            yield return Line(CheckVerdict.Wrong, fault);
        }

        if (faults.Length == 0)
        {
            yield return new CheckLine(Subject, CheckVerdict.Fine, string.Join("; ", scope.File.Origins.Concat(scope.Handbook.Origins)));
        }

        IEnumerable<SettingsFault> warnings = scope.File.Warnings.Concat(scope.Handbook.Warnings);
        foreach (SettingsFault warning in scope.IsReadable ? warnings.Concat(SettingsLoader.FindMismatches(scope.Handbook.Value!, scope.Installation)) : warnings)
        {
            yield return Line(CheckVerdict.Look, warning);
        }

        foreach (CheckLine line in scope.File.Value?.Places.Select(place => Whereabouts(scope.Installation.File, place)).OfType<CheckLine>() ?? [])
        {
            yield return line;
        }

        if (scope.IsReadable && await WaitingAsync(scope, cancellationToken).ConfigureAwait(false) is { } waiting)
        {
            yield return new CheckLine(Subject, CheckVerdict.Look, $"The serve that runs here does not use all of this yet: {waiting}.", "Restart it: sudo systemctl restart graftwatch.");
        }
    }

    // It names the file, so that the serve of another folder on this machine is not taken for this one.
    private static async Task<string?> WaitingAsync(CheckScope scope, CancellationToken cancellationToken)
    {
        using var http = new HttpClient { Timeout = Patience, MaxResponseContentBufferSize = MostBytes };
        try
        {
            using HttpResponseMessage reply = await http.GetAsync(new Uri(scope.Surroundings.Watch, "ready"), cancellationToken).ConfigureAwait(false);
            string[] reasons = (await reply.Content.ReadAsStringAsync(cancellationToken).ConfigureAwait(false)).Split('\n');
            return reasons.FirstOrDefault(reason => KeptFromStart.IsSentenceOf(reason, scope.Installation.File));
        }
        catch (Exception away) when (away is HttpRequestException or IOException || (away is OperationCanceledException && !cancellationToken.IsCancellationRequested))
        {
            return null;
        }
    }

    private CheckLine Line(CheckVerdict verdict, SettingsFault fault) =>
        new(Subject, verdict, (fault with { Expected = string.Empty, Example = string.Empty }).ToString(), Mend(fault));

    private static string Mend(SettingsFault fault) => $"{fault.Expected}{(fault.Example.Length > 0 ? $" Example: {fault.Example}" : string.Empty)}".Trim();

    // A zone is named after a city of its own; a place at the other end of the world from it has two numbers exchanged or a sign lost.
    private CheckLine? Whereabouts(string file, Place place)
    {
        TzdbDateTimeZoneSource source = TzdbDateTimeZoneSource.Default;
        string id = source.CanonicalIdMap.TryGetValue(place.Zone.Id, out string? canonical) ? canonical : place.Zone.Id;
        if (source.ZoneLocations?.FirstOrDefault(location => location.ZoneId == id) is not { } city || place.Site is { LatitudeDeg: 0, LongitudeDeg: 0 })
        {
            return null;
        }

        double here = DistanceKm(place.Site.LatitudeDeg, place.Site.LongitudeDeg, city);
        double exchanged = DistanceKm(place.Site.LongitudeDeg, place.Site.LatitudeDeg, city);
        string words = $"{file}: place.latitude, place.longitude: {place.Name} lies {here:0} km from the city its zone {place.Zone.Id} is named after";
        return (here > FarKm && exchanged < here / 2) switch
        {
            true => new CheckLine(Subject, CheckVerdict.Look, $"{words}; with the two exchanged it would be {exchanged:0} km.", "Exchange latitude and longitude: north comes first."),
            false when here > AnotherPartOfTheWorldKm => new CheckLine(Subject, CheckVerdict.Look, words + ".", "Look at the signs (south and west are negative) and at the zone."),
            _ => null,
        };
    }

    private static double DistanceKm(double latitudeDeg, double longitudeDeg, TzdbZoneLocation city)
    {
        static double Rad(double deg) => deg * Math.PI / 180;
        double cos = (Math.Sin(Rad(latitudeDeg)) * Math.Sin(Rad(city.Latitude)))
            + (Math.Cos(Rad(latitudeDeg)) * Math.Cos(Rad(city.Latitude)) * Math.Cos(Rad(longitudeDeg - city.Longitude)));
        return EarthRadiusKm * Math.Acos(Math.Clamp(cos, -1, 1));
    }
}
