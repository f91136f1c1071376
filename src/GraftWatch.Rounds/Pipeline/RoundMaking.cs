using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Rounds.Pipeline;

/// <summary>Makes a grower's round of a day from the register and fresh weather.</summary>
public sealed class RoundMaking(IRegister register, WeatherGathering weather)
{
    /// <summary>Hours fetched this long ago are good enough for a morning: growers of one place share a fetch.</summary>
    private static readonly Duration RecentEnough = Duration.FromMinutes(10);

    /// <summary>Loads, fetches and computes.</summary>
    public async Task<MadeRound> MakeAsync(Grower grower, LocalDate date, MorningSettings settings, Instant now, CancellationToken cancellationToken)
    {
        RoundRequest request = await GatherAsync(grower, date, settings, now, cancellationToken).ConfigureAwait(false);
        return Make(request);
    }

    /// <summary>Computes the round of what was gathered.</summary>
    public MadeRound Make(RoundRequest request)
    {
        ArgumentNullException.ThrowIfNull(request);
        return new MadeRound(RoundMaker.Make(request), [.. request.Places.Where(place => place.Weather is null)], register.TroubleOf(request.Grower));
    }

    /// <summary>Loads and fetches all that a round is computed from.</summary>
    public Task<RoundRequest> GatherAsync(Grower grower, LocalDate date, MorningSettings settings, Instant now, CancellationToken cancellationToken) =>
        GatherAsync(grower, date, settings, now, RecentEnough, cancellationToken);

    /// <summary>Loads and fetches all that a round is computed from, with hours that may be older than a morning's.</summary>
    /// <param name="grower">Whose round.</param>
    /// <param name="date">Local day.</param>
    /// <param name="settings">Places and handbook.</param>
    /// <param name="now">The instant of the run.</param>
    /// <param name="oldest">Hours fetched longer ago are fetched again.</param>
    /// <param name="cancellationToken">Stops waiting.</param>
    public async Task<RoundRequest> GatherAsync(Grower grower, LocalDate date, MorningSettings settings, Instant now, Duration oldest, CancellationToken cancellationToken)
    {
        RoundRequest request = await GatherWithoutHoursAsync(grower, date, settings, now, cancellationToken).ConfigureAwait(false);
        return await WithHoursAsync(request, now, oldest, cancellationToken).ConfigureAwait(false);
    }

    /// <summary>Loads what a round is computed from, save the hours; its places stand without them.</summary>
    public async Task<RoundRequest> GatherWithoutHoursAsync(Grower grower, LocalDate date, MorningSettings settings, Instant now, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(grower);
        ArgumentNullException.ThrowIfNull(settings);
        IReadOnlyList<Graft> grafts = await register.LoadGraftsAsync(grower.Name, cancellationToken).ConfigureAwait(false);
        IReadOnlyList<Observation> observations = await register.LoadObservationsAsync(grower.Name, cancellationToken).ConfigureAwait(false);
        IReadOnlyList<SaidBefore> said = await register.LoadSaidAsync(grower.Name, cancellationToken).ConfigureAwait(false);

        IEnumerable<string> names = grafts.Select(graft => graft.Place).Concat(grower.Places).Distinct(StringComparer.Ordinal);
        Place[] places = [.. names.Select(name => settings.Places.GetValueOrDefault(name)).OfType<Place>()];
        var none = new ForecastInfo(string.Empty, string.Empty, null, now, now, []);
        return new RoundRequest
        {
            Date = date,
            Now = now,
            Grower = grower.Name,
            Units = grower.Units,
            Places = [.. places.Select(place => new PlaceWeather(place, null, none))],
            Grafts = grafts,
            Handbook = settings.Handbook,
            Observations = observations,
            Said = said,
            Planned = grower.Planned,
        };
    }

    /// <summary>The mark of the hours of a request's places; see <see cref="WeatherGathering.MarkAsync"/>.</summary>
    public Task<ulong> MarkHoursAsync(RoundRequest request, Instant now, Duration oldest, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(request);
        return weather.MarkAsync(PlacesOf(request), now, oldest, cancellationToken);
    }

    /// <summary>Puts the hours of its places into a request.</summary>
    public async Task<RoundRequest> WithHoursAsync(RoundRequest request, Instant now, Duration oldest, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(request);
        return request with { Places = await weather.RecentAsync(PlacesOf(request), now, oldest, cancellationToken).ConfigureAwait(false) };
    }

    private static Place[] PlacesOf(RoundRequest request) => [.. request.Places.Select(place => place.Place)];
}

/// <summary>A round and the places whose weather could not be had.</summary>
/// <param name="Round">The round.</param>
/// <param name="WithoutWeather">Places without hours; their trouble says why.</param>
/// <param name="RegisterTrouble">What was wrong with the register, a sentence for the letter; empty when nothing was.</param>
public sealed record MadeRound(Round Round, IReadOnlyList<PlaceWeather> WithoutWeather, string RegisterTrouble);
