using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Aftercare.Tests.Scenes;

/// <summary>Runs a register through a season of measured hours, day by day, with a grower who does what is asked or one who never answers.</summary>
internal sealed class Season
{
    private readonly Place place;
    private readonly HourlyWeather hours;
    private readonly List<Observation> seen = [];
    private readonly Dictionary<(WorkAction, Hazard?, string), SaidBefore> said = [];
    private readonly bool obedient;

    internal Season(Place place, HourlyWeather hours, bool obedient)
    {
        this.place = place;
        this.hours = hours;
        this.obedient = obedient;
    }

    internal List<Round> Rounds { get; } = [];

    internal void Run(IReadOnlyList<Graft> register, LocalDate from, LocalDate to)
    {
        for (LocalDate day = from; day <= to; day = day.PlusDays(1))
        {
            Graft[] grafts = [.. register.Where(graft => graft.Made <= day)];
            HourlyWeather window = Slice(Bench.Morning(place, day.PlusDays(-45)), Bench.Morning(place, day.PlusDays(10)));
            Round round = Bench.Round(place, window, grafts, day, request => request with { Observations = [.. seen], Said = [.. said.Values] });
            Rounds.Add(round);
            Remember(round, day);
        }
    }

    private void Remember(Round round, LocalDate day)
    {
        var today = new HashSet<(WorkAction, Hazard?, string)>();
        foreach (Advice advice in round.Advice)
        {
            bool done = obedient && advice.Level >= Level.Act && advice.Action is not (WorkAction.Know or WorkAction.Wait);
            foreach (string graft in advice.Grafts)
            {
                (WorkAction Action, Hazard? Hazard, string Graft) key = (advice.Action, advice.Hazard, graft);
                today.Add(key);
                LocalDate first = said.TryGetValue(key, out SaidBefore? before) && before.State == SaidState.Open ? before.FirstSaid : day;
                said[key] = new SaidBefore(advice.Action, advice.Hazard, graft, first, advice.Reached ?? advice.Level, done ? SaidState.Done : SaidState.Open, null, done ? day : null);
                if (done && Effect(advice) is { } effect)
                {
                    seen.Add(new Observation(graft, Bench.Morning(place, day) + Duration.FromHours(4), effect.Kind, effect.Value, effect.Words));
                }
            }
        }

        // What is no longer asked for is no longer open.
        foreach ((WorkAction, Hazard?, string) key in said.Keys.Where(key => !today.Contains(key) && said[key].State == SaidState.Open).ToList())
        {
            said.Remove(key);
        }
    }

    private static (ObservationKind Kind, double? Value, string? Words)? Effect(Advice advice) => advice.Action switch
    {
        WorkAction.Shade => (ObservationKind.CoverOn, null, CoverIn(advice)),
        WorkAction.Vent => (ObservationKind.CoverVented, null, null),
        WorkAction.CloseCover => (ObservationKind.CoverClosed, null, null),
        WorkAction.CoverOff => (ObservationKind.CoverOff, null, null),
        WorkAction.SlitTie => (ObservationKind.TieOff, null, null),
        WorkAction.Stake => (ObservationKind.Staked, null, null),
        WorkAction.TieIn => (ObservationKind.TiedIn, null, null),
        WorkAction.RubOff => (ObservationKind.StockShootsOff, null, null),
        WorkAction.HeadBack when !advice.Text.Contains("half", StringComparison.Ordinal) => (ObservationKind.HeadedBack, null, null),
        WorkAction.Water => (ObservationKind.Watered, null, null),
        WorkAction.Relieve => (ObservationKind.Relieved, null, null),
        WorkAction.Reseal => (ObservationKind.Resealed, null, null),
        _ => null,
    };

    private static string CoverIn(Advice advice)
    {
        string thing = string.Join(' ', advice.Materials);
        return Bench.Handbook.Covers.Values
            .Where(cover => thing.Contains(cover.Name, StringComparison.Ordinal))
            .OrderByDescending(cover => cover.Name.Length)
            .Select(cover => cover.Key)
            .First();
    }

    private HourlyWeather Slice(Instant from, Instant to)
    {
        int first = Math.Max(0, hours.IndexOf(from));
        int last = Math.Min(hours.Hours - 1, hours.IndexOf(to));
        var builder = new HourlyWeather.Builder(hours.EndOf(first), last - first + 1);
        foreach (WeatherQuantity quantity in Enum.GetValues<WeatherQuantity>())
        {
            if (hours.Has(quantity))
            {
                builder.SetColumn(quantity, hours[quantity][first..(last + 1)], WeatherOrigin.Measured);
            }
        }

        return builder.Build();
    }

    /// <summary>A mixed register of forty grafts, set over the first weeks.</summary>
    internal static IReadOnlyList<Graft> FortyGrafts(LocalDate start)
    {
        (string Species, Technique Technique, string Cover, string Tie, string Seal, double Diameter, double Height)[] kinds =
        [
            ("apple", Technique.WhipAndTongue, "none", "budding-strip", "wax", 0.012, 0.3),
            ("apple", Technique.Cleft, "none", "raffia", "wax", 0.045, 1.2),
            ("apple", Technique.Bark, "paper", "twine", "wax", 0.06, 1.3),
            ("pear", Technique.WhipAndTongue, "none", "rubber", "stretch-film", 0.012, 0.3),
            ("plum", Technique.ChipBud, "none", "budding-strip", "tape", 0.014, 0.25),
            ("sweet-cherry", Technique.Splice, "none", "budding-strip", "wax", 0.012, 0.3),
            ("peach", Technique.ChipBud, "foil", "budding-strip", "tape", 0.014, 0.2),
            ("walnut", Technique.Bark, "foil-film", "twine", "wax", 0.05, 1.4),
            ("persimmon", Technique.SideVeneer, "none", "budding-strip", "stretch-film", 0.016, 0.4),
            ("fig", Technique.ChipBud, "foil", "rubber", "stretch-film", 0.02, 0.5),
            ("grape", Technique.Cleft, "none", "raffia", "wax", 0.03, 0.4),
            ("mulberry", Technique.WhipAndTongue, "none", "rubber", "wax", 0.014, 0.5),
            ("avocado", Technique.SideVeneer, "film", "budding-strip", "wax", 0.012, 0.3),
            ("citrus", Technique.TBud, "none", "budding-strip", "tape", 0.015, 0.25),
            ("quince", Technique.Saddle, "none", "pvc", "wax", 0.012, 0.2),
            ("medlar", Technique.Inlay, "kraft", "pvc", "wax", 0.04, 0.9),
            ("apricot", Technique.Cleft, "none", "raffia", "wax", 0.03, 0.8),
            ("hazel", Technique.Splice, "none", "rubber", "wax", 0.012, 0.3),
            ("kiwi", Technique.WhipAndTongue, "none", "raffia", "wax", 0.015, 0.8),
            ("pecan", Technique.PatchBud, "none", "budding-strip", "tape", 0.03, 1.0),
        ];
        double[] aspects = [180, 225, 135, 90, 270, 0];
        var grafts = new List<Graft>();
        for (int i = 0; i < 40; i++)
        {
            (string species, Technique technique, string cover, string tie, string seal, double diameter, double height) = kinds[i % kinds.Length];
            grafts.Add(new Graft
            {
                Label = $"{(char)('A' + (i / 10))}-{(i % 10) + 1:00}",
                Place = "season",
                Block = ((char)('A' + (i / 10))).ToString(),
                Species = species,
                Technique = technique,
                Made = start.PlusDays((i * 7 % 20) - 2),
                Count = 1 + (i % 4),
                AspectDeg = aspects[i % aspects.Length],
                HeightM = height,
                DiameterM = diameter,
                Cover = cover,
                Tie = tie,
                Seal = seal,
                NurseBuds = technique.KeepsTopPublic() ? 2 : 0,
            });
        }

        return grafts;
    }
}

internal static class TechniqueWords
{
    internal static bool KeepsTopPublic(this Technique technique) =>
        technique is Technique.ChipBud or Technique.TBud or Technique.PatchBud or Technique.SideVeneer;
}
