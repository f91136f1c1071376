using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Climate;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Microclimate.Unions;
using NodaTime;

namespace GraftWatch.Aftercare.Explaining;

/// <summary>What the unions of a round felt on its day, under the covers that were on them: hours times unions.</summary>
/// <param name="HeatNote">Union-hours with the cambium at or above note. [h]</param>
/// <param name="HeatAct">At or above act. [h]</param>
/// <param name="HeatUrgent">At or above urgent. [h]</param>
/// <param name="FrostHours">Union-hours with buds below 0 °C. [h]</param>
/// <param name="UnknownHours">Union-hours without a temperature. [h]</param>
/// <param name="WarmestC">Highest cambium temperature. [°C]; NaN when none is known.</param>
/// <param name="ColdestC">Lowest bud temperature. [°C]; NaN when none is known.</param>
public sealed record FeltDay(double HeatNote, double HeatAct, double HeatUrgent, double FrostHours, double UnknownHours, double WarmestC, double ColdestC)
{
    /// <summary>Hours of weather before the day that the stems remember. [h], engineering choice.</summary>
    private const int LeadHours = 24;

    /// <summary>Adds up the local day of a round.</summary>
    /// <param name="request">The round; what was seen and done counts up to its day's end.</param>
    /// <param name="levels">Levels the hours are held against; those of another file, where two are compared.</param>
    public static FeltDay Of(RoundRequest request, ThresholdSet levels)
    {
        ArgumentNullException.ThrowIfNull(request);
        var tally = new Tally();
        var reader = new GraftReader(request);
        ILookup<string, Observation> seen = request.Observations.ToLookup(observation => observation.Label, StringComparer.Ordinal);
        foreach (PlaceWeather place in request.Places)
        {
            Instant from = place.Place.Zone.AtStartOfDay(request.Date).ToInstant();
            Instant to = place.Place.Zone.AtStartOfDay(request.Date.PlusDays(1)).ToInstant();
            if (place.Weather is null || WeatherSlice.Of(place.Weather, from - Duration.FromHours(LeadHours), to) is not { } slice)
            {
                continue;
            }

            var climate = new PlaceClimate(place.Place, slice, to);
            int first = slice.IndexOf(from + Duration.FromHours(1));
            foreach (Graft graft in request.Grafts.Where(graft => graft.Place == place.Place.Name && graft.Made <= request.Date && reader.Fault(graft) is null))
            {
                GraftState state = GraftState.Of(graft, seen[graft.Label], to);
                if (!state.IsDead)
                {
                    var subject = new Subject(graft.Species, graft.Technique, Stage.Knit, state.Cover, state.Tie, graft.Place);
                    tally.Add(climate.At(reader.ExposureOf(state, request.Handbook.Species[graft.Species])), first, graft.Count, levels.Levels("heat.cambium", subject));
                }
            }
        }

        return tally.Result();
    }

    private sealed class Tally
    {
        private readonly double[] heat = new double[4];
        private double frost;
        private double unknown;
        private double warmestC = double.NaN;
        private double coldestC = double.NaN;

        internal void Add(UnionHours hours, int first, int unions, in Levels levels)
        {
            for (int i = Math.Max(0, first); i < hours.CambiumC.Length; i++)
            {
                double cambiumC = hours.CambiumC[i];
                if (double.IsNaN(cambiumC))
                {
                    unknown += unions;
                    continue;
                }

                for (Level level = Level.Note; level <= levels.Of(cambiumC, LevelDirection.Rising); level++)
                {
                    heat[(int)level] += unions;
                }

                frost += hours.BudC[i] < 0 ? unions : 0;
                warmestC = cambiumC <= warmestC ? warmestC : cambiumC;
                coldestC = hours.BudC[i] >= coldestC ? coldestC : hours.BudC[i];
            }
        }

        internal FeltDay Result() => new(heat[(int)Level.Note], heat[(int)Level.Act], heat[(int)Level.Urgent], frost, unknown, warmestC, coldestC);
    }
}
