using GraftWatch.Aftercare.Climate;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Hazards;
using GraftWatch.Aftercare.Healing;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Microclimate.Unions;
using GraftWatch.Microclimate.Wind;
using NodaTime;

namespace GraftWatch.Aftercare.Advising;

/// <summary>Turns records of the register into views; equal exposures share their climate and healing.</summary>
internal sealed class GraftReader
{
    /// <summary>Days after which a deciduous graft has wood of its own that can rest. [d], engineering choice.</summary>
    private const int OwnWoodDays = 60;

    /// <summary>Length taken for shoots in their second season: longer than a hand covers. [m]</summary>
    private const double SecondSeasonShootM = 1.5;

    private readonly Handbook book;
    private readonly LocalDate today;
    private readonly Instant now;
    private readonly ILookup<string, Observation> seen;
    private readonly Dictionary<(PlaceClimate, UnionExposure, HealingCurve), HealingPath> paths = [];
    private readonly Dictionary<(string, Technique, string), HealingPlan> plans = [];

    /// <summary>Takes the request.</summary>
    internal GraftReader(RoundRequest request)
    {
        book = request.Handbook;
        today = request.Date;
        now = request.Now;
        seen = request.Observations.ToLookup(observation => observation.Label, StringComparer.Ordinal);
    }

    /// <summary>Why a record cannot be used; ends the sentence "not checked, because …". Null when it can.</summary>
    internal string? Fault(Graft graft)
    {
        return !book.Species.ContainsKey(graft.Species) ? $"its species “{graft.Species}” is not in species.toml"
            : !book.Covers.ContainsKey(graft.Cover) ? $"its cover “{graft.Cover}” is not in materials.toml"
            : !book.Ties.ContainsKey(graft.Tie) ? $"its tie “{graft.Tie}” is not in materials.toml"
            : !book.Seals.ContainsKey(graft.Seal) ? $"its seal “{graft.Seal}” is not in materials.toml"
            : graft.Made > today ? "it is dated in the future"
            : graft.Count < 1 ? "its count is below one"
            : !(graft.AspectDeg is >= 0 and <= 360) ? "its aspect is not a compass direction"
            : !(graft.TiltDeg is >= 0 and <= 90) ? "its tilt is not between 0 and 90 degrees"
            : !(graft.HeightM is >= 0.02 and <= 15) ? "its height is not between 2 cm and 15 m"
            : !(graft.DiameterM is >= 0.002 and <= 0.6) ? "its diameter is not between 2 mm and 60 cm"
            : null;
    }

    /// <summary>Reads one record.</summary>
    internal GraftView Read(Graft graft, int order, PlaceClimate climate)
    {
        GraftState state = GraftState.Of(graft, seen[graft.Label], now);
        SpeciesTraits species = book.Species[graft.Species];
        UnionExposure exposure = ExposureOf(state, species);
        var known = new Subject(graft.Species, graft.Technique, Stage.Set, state.Cover, state.Tie, graft.Place);
        HealingPlan plan = PlanFor(known, species);
        HealingPath path = PathFor(climate, exposure, species.Curve, known);
        Instant madeAt = HealingClock.MadeAt(graft, climate.Place.Zone);
        madeAt = madeAt > now ? now : madeAt;
        GrowthYear year = GrowthYear.Of(climate.Place);
        int summerMonth = (int)book.Thresholds.Number("task.head_back.summer_month", known);
        int firstGrowth = year.FirstGrowth(graft.Made, graft.Technique, summerMonth);
        Instant? sleepsUntil = year.Waits(graft.Made, graft.Technique, summerMonth)
            ? climate.Place.Zone.AtStartOfDay(year.Local(firstGrowth, 3, 1)).ToInstant()
            : null;
        HealingClock clock = HealingClock.Run(state, plan, path, madeAt, now, sleepsUntil);
        (double shootM, bool estimated) = ShootOf(state, clock, plan, path, year.North(today).Year > firstGrowth, known);
        return new GraftView
        {
            Graft = graft,
            Order = order,
            State = state,
            Climate = climate,
            Species = species,
            Plan = plan,
            Path = path,
            Clock = clock,
            MadeAt = madeAt,
            Year = year,
            FirstGrowth = firstGrowth,
            ShootEstimated = estimated,
            Case = CaseOf(state, climate, species, exposure, clock, plan, shootM, WoodSeasonOf(graft, species, clock, year, firstGrowth, known), known),
        };
    }

    /// <summary>How a graft as it stands meets the weather.</summary>
    internal UnionExposure ExposureOf(GraftState state, SpeciesTraits species) => new()
    {
        AspectDeg = state.Graft.AspectDeg,
        TiltDeg = state.Graft.TiltDeg,
        HeightM = state.Graft.HeightM,
        DiameterM = state.Graft.DiameterM,
        BarkSolarAbsorptanceFrac = species.BarkSolarAbsorptanceFrac,
        Covers = CoverOf(state.Cover).Layers,
        Vented = state.Vented,
        SealPassFrac = (book.Seals.TryGetValue(state.Seal, out SealMaterial? seal) ? seal : book.Seals["none"]).PassFrac,
    };

    // A word an observation brought that the catalogue does not know counts as bare.
    private CoverMaterial CoverOf(string key) => book.Covers.TryGetValue(key, out CoverMaterial? cover) ? cover : book.Covers["none"];

    private UnionCase CaseOf(
        GraftState state, PlaceClimate climate, SpeciesTraits species, UnionExposure exposure, HealingClock clock, HealingPlan plan,
        double shootM, WoodSeason season, in Subject known)
    {
        Graft graft = state.Graft;
        int age = Period.DaysBetween(graft.Made, today);
        ThresholdSet thresholds = book.Thresholds;
        CoverMaterial cover = CoverOf(state.Cover);
        double freshDays = thresholds.Number("sun.when.days", known);
        bool bared = state.Last(ObservationKind.CoverOff) is { } off && (now - off).TotalDays <= freshDays && state.Cover == "none";
        double reliefDays = thresholds.Number("sap.when.repeat", known);
        bool relieved = state.Last(ObservationKind.Relieved) is { } cut && (now - cut).TotalDays <= reliefDays;
        bool bearing = shootM >= 0.05 && clock.Stage < Stage.Established;
        return new UnionCase
        {
            Climate = climate,
            Species = species,
            Technique = graft.Technique,
            Stage = clock.Stage,
            Exposure = exposure,
            Cover = cover.Key,
            CoverWet = cover.WetInside,
            Tie = book.Ties.ContainsKey(state.Tie) ? state.Tie : "none",
            SealPassFrac = exposure.SealPassFrac,
            ShootM = shootM,
            Bbch = state.Bbch,
            InLeaf = species.Evergreen || state.Bbch >= 11 || shootM >= 0.03,
            Support = state.Support,
            StrengthFrac = bearing ? Math.Round(UnionStrength.Fraction(Math.Max(0, clock.Days), plan.Begin(Stage.Run).Likely), 2) : 0,
            FreshlyBared = bared,
            Season = season,
            CanStall = clock.Stage <= Stage.Knit
                && age >= thresholds.Number("cold_stall.when.from", known) && age <= thresholds.Number("cold_stall.when.until", known),
            StockLeafFrac = StockLeaf(state, climate, known),
            SapLeftFrac = relieved ? thresholds.Number("sap.when.relief_left", known) : 1,
        };
    }

    private double StockLeaf(GraftState state, PlaceClimate climate, in Subject known)
    {
        Graft graft = state.Graft;
        bool topped = !graft.Technique.KeepsTop() || state.Last(ObservationKind.HeadedBack) is not null;
        if (topped)
        {
            return graft.NurseBuds > 0 ? 0.2 : 0;
        }

        double days = climate.GrowingDays(book.Thresholds.Number("sap.when.growing_mean", known));
        return Math.Round(Math.Clamp(days / book.Thresholds.Number("sap.when.leaf_full_days", known), 0, 1), 1);
    }

    private (double ShootM, bool Estimated) ShootOf(
        GraftState state, HealingClock clock, HealingPlan plan, HealingPath path, bool secondSeason, in Subject known)
    {
        if (clock.Stage == Stage.Failed)
        {
            return (0, false);
        }

        double perDay = book.Thresholds.Number("task.growth.per_day", known);
        double most = book.Thresholds.Number("task.growth.most", known);
        if (state.ShootM is { } measured)
        {
            double since = state.Last(ObservationKind.ShootLength) is { } at ? Math.Max(0, path.Between(at, now)) * perDay : 0;
            return (Centimetres(Math.Max(measured, Math.Min(most, measured + since))), since > 0.02);
        }

        if (secondSeason && clock.Stage >= Stage.Ripen)
        {
            return (SecondSeasonShootM, true);
        }

        double grown = (clock.Days - plan.Begin(Stage.Push).Likely) * perDay;
        return clock.Stage >= Stage.Push && grown > 0 ? (Centimetres(Math.Min(most, grown)), true) : (0, false);
    }

    private WoodSeason WoodSeasonOf(Graft graft, SpeciesTraits species, HealingClock clock, GrowthYear year, int firstGrowth, in Subject known)
    {
        int month = year.Month(today);
        int autumn = (int)book.Thresholds.Number("frost.when.autumn_month", known);
        int winter = (int)book.Thresholds.Number("frost.when.winter_month", known);
        bool own = Period.DaysBetween(graft.Made, today) > OwnWoodDays && clock.Stage >= Stage.Run;
        if (species.Evergreen || !own)
        {
            return WoodSeason.Growing;
        }

        return month >= winter || month <= 2 ? WoodSeason.Rest
            : month < autumn ? WoodSeason.Growing
            : year.North(today).Year == firstGrowth ? WoodSeason.FirstAutumn
            : WoodSeason.Rest;
    }

    private HealingPlan PlanFor(in Subject known, SpeciesTraits species)
    {
        if (!plans.TryGetValue((known.Species, known.Technique, known.Place), out HealingPlan? plan))
        {
            plan = HealingPlan.For(book.Thresholds, known, species);
            plans.Add((known.Species, known.Technique, known.Place), plan);
        }

        return plan;
    }

    private HealingPath PathFor(PlaceClimate climate, UnionExposure exposure, HealingCurve curve, in Subject known)
    {
        if (!paths.TryGetValue((climate, exposure, curve), out HealingPath? path))
        {
            path = HealingPath.Of(
                climate.At(exposure).CambiumC,
                climate,
                curve,
                book.Thresholds.Number("healing.clock.recent_days", known),
                book.Thresholds.Number("healing.clock.rate_unknown", known));
            paths.Add((climate, exposure, curve), path);
        }

        return path;
    }

    private static double Centimetres(double lengthM) => Math.Round(lengthM, 2);
}
