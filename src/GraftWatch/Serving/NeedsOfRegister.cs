using GraftWatch.Aftercare.Grafts;
using GraftWatch.Inputs;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Serving;

/// <summary>How far back a place's hours are needed: to the day its oldest graft of the last year was made.</summary>
internal sealed class NeedsOfRegister(IRegister register, SettingsInForce settings, TimeProvider clock) : IWeatherNeeds
{
    private static readonly Duration Longest = Duration.FromDays(366);

    /// <inheritdoc/>
    public async Task<Instant?> EarliestAsync(string place, CancellationToken cancellationToken)
    {
        Instant now = Instant.FromDateTimeOffset(clock.GetUtcNow());
        DateTimeZone zone = settings.Current.Morning.Places.TryGetValue(place, out Place? known) ? known.Zone : DateTimeZone.Utc;
        Instant? earliest = null;
        foreach (Grower grower in settings.Current.Morning.Growers)
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
            return await register.LoadGraftsAsync(grower.Name, cancellationToken).ConfigureAwait(false);
        }
        catch (RegisterRefusedException)
        {
            return [];
        }
    }
}
