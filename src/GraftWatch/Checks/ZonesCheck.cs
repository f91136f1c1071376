using System.Globalization;
using System.Runtime.CompilerServices;
using NodaTime;
using NodaTime.TimeZones;

namespace GraftWatch.Checks;

/// <summary>Zone data: the program's own, its age, and where this machine's files differ from it within a year.</summary>
/// <remarks>Only the program's own data decide about letters; the machine's matter to whoever reads its clock beside them.</remarks>
internal sealed class ZonesCheck : ICheck
{
    private const int Days = 366;
    private const int StepHours = 3;
    private const int OldAfterYears = 2;

    public string Subject => "zones";

    public async IAsyncEnumerable<CheckLine> RunAsync(CheckScope scope, [EnumeratorCancellation] CancellationToken cancellationToken)
    {
        await Task.CompletedTask.ConfigureAwait(false);
        Instant now = scope.Terminal.Now();
        string own = TzdbDateTimeZoneSource.Default.TzdbVersion;
        bool isOld = int.TryParse(own.AsSpan(0, Math.Min(4, own.Length)), NumberStyles.None, CultureInfo.InvariantCulture, out int year) && now.InUtc().Year - year >= OldAfterYears;
        yield return isOld
            ? new CheckLine(Subject, CheckVerdict.Look, $"The zone data in this program are of {own}; laws on clocks may have changed since.", "Install a newer GraftWatch.")
            : new CheckLine(Subject, CheckVerdict.Fine, $"Zone data of the IANA time zone database {own}, carried in the program.");
        foreach (DateTimeZone zone in scope.Installation.Places.Select(place => place.Zone).Concat(scope.Installation.Growers.Select(grower => grower.Zone)).DistinctBy(zone => zone.Id))
        {
            if (Compare(scope, zone, now) is { } line)
            {
                yield return line;
            }
        }
    }

    private CheckLine? Compare(CheckScope scope, DateTimeZone zone, Instant now)
    {
        DateTimeZone? theirs = Theirs(scope, zone.Id);
        if (theirs is null)
        {
            return new CheckLine(Subject, CheckVerdict.Fine, $"{zone.Id}: this machine has no zone data of its own for it; letters do not need them.");
        }

        Instant? first = Enumerable.Range(0, Days * 24 / StepHours).Select(step => now + Duration.FromHours(step * StepHours)).Cast<Instant?>()
            .FirstOrDefault(at => zone.GetUtcOffset(at!.Value) != theirs.GetUtcOffset(at.Value));
        return first is not { } differ
            ? null
            : new CheckLine(
                Subject, CheckVerdict.Look,
                $"{zone.Id}: from {differ.ToString("uuuu-MM-dd", CultureInfo.InvariantCulture)} on this machine's zone files say {theirs.GetUtcOffset(differ)}, the program's {zone.GetUtcOffset(differ)}. Letters go by the program's; clocks on this machine show another hour.",
                "Update the package tzdata.");
    }

    private static DateTimeZone? Theirs(CheckScope scope, string id)
    {
        try
        {
            return scope.Surroundings.SystemZones.GetZoneOrNull(id);
        }
        catch (Exception unreadable) when (unreadable is TimeZoneNotFoundException or InvalidTimeZoneException or System.Security.SecurityException or IOException)
        {
            return null;
        }
    }
}
