using GraftWatch.Aftercare.Grafts;
using GraftWatch.Rounds.Pipeline;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Inputs;

/// <summary>How far back a place's hours are needed: to the day its oldest graft of the last year that is not dead was made.</summary>
/// <remarks>All registers are read once for all places, and what was found holds for some minutes: a refresh asks for each of its places.</remarks>
internal sealed class NeedsOfRegister(IRegister register, Func<CancellationToken, Task<MorningSettings>> growers, TimeProvider clock) : IWeatherNeeds, IDisposable
{
    private static readonly Duration Longest = Duration.FromDays(366);
    private static readonly Duration Holds = Duration.FromMinutes(5);
    private readonly SemaphoreSlim turn = new(1);
    private Dictionary<string, Instant> earliest = [];
    private Instant? readAt;

    /// <inheritdoc/>
    public async Task<Instant?> EarliestAsync(string place, CancellationToken cancellationToken)
    {
        await turn.WaitAsync(cancellationToken).ConfigureAwait(false);
        try
        {
            Instant now = Instant.FromDateTimeOffset(clock.GetUtcNow());
            if (readAt is not { } at || now < at || now - at > Holds)
            {
                earliest = await ReadAsync(now, cancellationToken).ConfigureAwait(false);
                readAt = now;
            }

            return earliest.TryGetValue(place, out Instant made) ? made : null;
        }
        finally
        {
            turn.Release();
        }
    }

    public void Dispose() => turn.Dispose();

    private async Task<Dictionary<string, Instant>> ReadAsync(Instant now, CancellationToken cancellationToken)
    {
        MorningSettings served = await growers(cancellationToken).ConfigureAwait(false);
        var found = new Dictionary<string, Instant>(StringComparer.Ordinal);
        foreach (Grower grower in served.Growers)
        {
            foreach (Graft graft in await GraftsAsync(grower, cancellationToken).ConfigureAwait(false))
            {
                DateTimeZone zone = served.Places.TryGetValue(graft.Place, out Place? known) ? known.Zone : DateTimeZone.Utc;
                Instant made = zone.AtStartOfDay(graft.Made).ToInstant();
                if (now - made < Longest && (!found.TryGetValue(graft.Place, out Instant before) || made < before))
                {
                    found[graft.Place] = made;
                }
            }
        }

        return found;
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
