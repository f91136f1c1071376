using GraftWatch.Aftercare.Grafts;
using GraftWatch.Rounds.Pipeline;
using GraftWatch.Rounds.Ports;
using GraftWatch.Serving;
using NodaTime;

namespace GraftWatch.Inputs;

/// <summary>How far back a place's hours are needed: to the day its oldest graft of the last year that is not dead was made.</summary>
internal sealed class NeedsOfRegister(IRegister register, Func<ServeSettings> settings, TimeProvider clock) : IWeatherNeeds
{
    private static readonly Duration Longest = Duration.FromDays(366);

    /// <inheritdoc/>
    public async Task<Instant?> EarliestAsync(string place, CancellationToken cancellationToken)
    {
        Instant now = Instant.FromDateTimeOffset(clock.GetUtcNow());
        MorningSettings morning = settings().Morning;
        DateTimeZone zone = morning.Places.TryGetValue(place, out Place? known) ? known.Zone : DateTimeZone.Utc;
        Instant? earliest = null;
        foreach (Grower grower in morning.Growers)
        {
            foreach (Graft graft in await GraftsAsync(grower, cancellationToken).ConfigureAwait(false))
            {
                Instant made = zone.AtStartOfDay(graft.Made).ToInstant();
                if (graft.Place == place && now - made < Longest && (earliest is null || made < earliest))
                {
                    earliest = made;
                }
            }
        }

        return earliest;
    }

    // A register that cannot be read has its own loud voice in the morning; weather goes on without it.
    private async Task<IReadOnlyList<Graft>> GraftsAsync(Grower grower, CancellationToken cancellationToken)
    {
        try
        {
            IReadOnlyList<Graft> grafts = await register.LoadGraftsAsync(grower.Name, cancellationToken).ConfigureAwait(false);
            IReadOnlyList<Observation> seen = await register.LoadObservationsAsync(grower.Name, cancellationToken).ConfigureAwait(false);
            var dead = seen.Where(each => each.Kind == ObservationKind.Dead).Select(each => each.Label).ToHashSet(StringComparer.Ordinal);
            return [.. grafts.Where(graft => !dead.Contains(graft.Label))];
        }
        catch (RegisterRefusedException)
        {
            return [];
        }
    }
}
