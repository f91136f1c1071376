using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Rounds.Pipeline;

/// <summary>Makes a grower's round of a day from the register and fresh weather.</summary>
public sealed class RoundMaking(IRegister register, WeatherGathering weather)
{
    /// <summary>Loads, fetches and computes.</summary>
    public async Task<MadeRound> MakeAsync(Grower grower, LocalDate date, MorningSettings settings, Instant now, CancellationToken cancellationToken)
    {
        RoundRequest request = await GatherAsync(grower, date, settings, now, cancellationToken).ConfigureAwait(false);
        return new MadeRound(RoundMaker.Make(request), [.. request.Places.Where(place => place.Weather is null)], register.TroubleOf(grower.Name));
    }

    /// <summary>Loads and fetches all that a round is computed from.</summary>
    public async Task<RoundRequest> GatherAsync(Grower grower, LocalDate date, MorningSettings settings, Instant now, CancellationToken cancellationToken)
    {
        IReadOnlyList<Graft> grafts = await register.LoadGraftsAsync(grower.Name, cancellationToken).ConfigureAwait(false);
        IReadOnlyList<Observation> observations = await register.LoadObservationsAsync(grower.Name, cancellationToken).ConfigureAwait(false);
        IReadOnlyList<SaidBefore> said = await register.LoadSaidAsync(grower.Name, cancellationToken).ConfigureAwait(false);

        IEnumerable<string> names = grafts.Select(graft => graft.Place).Concat(grower.Places).Distinct(StringComparer.Ordinal);
        Place[] places = [.. names.Select(name => settings.Places.GetValueOrDefault(name)).OfType<Place>()];
        IReadOnlyList<PlaceWeather> hours = await weather.FetchAsync(places, now, cancellationToken).ConfigureAwait(false);

        return new RoundRequest
        {
            Date = date,
            Now = now,
            Grower = grower.Name,
            Units = grower.Units,
            Places = hours,
            Grafts = grafts,
            Handbook = settings.Handbook,
            Observations = observations,
            Said = said,
            Planned = grower.Planned,
        };
    }
}

/// <summary>A round and the places whose weather could not be had.</summary>
/// <param name="Round">The round.</param>
/// <param name="WithoutWeather">Places without hours; their trouble says why.</param>
/// <param name="RegisterTrouble">What was wrong with the register, a sentence for the letter; empty when nothing was.</param>
public sealed record MadeRound(Round Round, IReadOnlyList<PlaceWeather> WithoutWeather, string RegisterTrouble);
