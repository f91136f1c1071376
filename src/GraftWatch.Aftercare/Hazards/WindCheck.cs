using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Microclimate.Wind;
using Hold = GraftWatch.Microclimate.Wind.ShootSupport;

namespace GraftWatch.Aftercare.Hazards;

/// <summary>Gusts against a shoot and its union; where there is no shoot yet, against the cover.</summary>
internal static class WindCheck
{
    /// <summary>Thickness of a young shoot's foot as a share of its length, engineering default. [-]</summary>
    private const double FootShareFrac = 0.02;

    /// <summary>Thinnest foot of a shoot. [m], engineering default.</summary>
    private const double ThinnestFootM = 0.006;

    /// <summary>Judges the days ahead; null when there is neither shoot nor cover to catch the wind.</summary>
    internal static HazardOutcome? Judge(UnionCase union, ThresholdSet thresholds)
    {
        Subject subject = union.Subject;
        bool shoot = union.ShootM >= thresholds.Number("wind.shoot.least", subject);
        if (!shoot && union.Cover == "none")
        {
            return null;
        }

        double[] gusts = union.Climate.Gusts;
        string Why(int hour) => union.Climate.WhyMissing(hour, WeatherQuantity.WindMPerS);
        if (!shoot)
        {
            var loose = new HazardOutcome
            {
                Hazard = Hazard.Wind,
                Quantity = "gust",
                Unit = "m/s",
                Direction = LevelDirection.Rising,
                Levels = thresholds.Levels("wind.gust", subject),
                Part = "cover",
            };
            return HourlyJudgement.Of(loose, union.Climate, gusts, byNight: false, HoursNeeded.One, Why);
        }

        var moment = new double[gusts.Length];
        var safety = new double[gusts.Length];
        Fill(union, thresholds, moment, safety);
        var frame = new HazardOutcome
        {
            Hazard = Hazard.Wind,
            Quantity = "safety of the union in gusts",
            Unit = "-",
            Direction = LevelDirection.Falling,
            Levels = thresholds.Levels("wind.safety", subject),
            Part = "shoot",
        };
        return HourlyJudgement.Of(frame, union.Climate, safety, byNight: false, HoursNeeded.One, Why);
    }

    /// <summary>The moment of each hour's gust and the safety of the union under it, as the days ahead are judged by.</summary>
    internal static void Fill(UnionCase union, ThresholdSet thresholds, double[] momentNm, double[] safety)
    {
        double[] gusts = union.Climate.Gusts;
        ShootLoadInputs load = LoadOf(union, thresholds);
        ShootLoad.Compute(load, gusts, momentNm, safety);
        ByRuleOfThumb(union, load, gusts, safety);
    }

    // Bending alone flatters joints that peel rather than bend; the growers' limit for young shoots is the second opinion and the worse one speaks.
    private static void ByRuleOfThumb(UnionCase union, in ShootLoadInputs load, double[] gusts, double[] safety)
    {
        bool held = union.Tie != "none" || union.Support == Grafts.ShootSupport.Tied;
        double limit = GustLimit.MPerS(load.StrengthFrac, load.ShootLengthM, held, union.Support == Grafts.ShootSupport.Staked);
        for (int i = 0; i < safety.Length; i++)
        {
            double byLimit = ShootLoad.AdvisedSafety * limit / (load.GustShareFrac * gusts[i]);
            safety[i] = double.IsNaN(byLimit) ? safety[i] : Math.Min(safety[i], byLimit);
        }
    }

    /// <summary>The shoot as the wind meets it.</summary>
    internal static ShootLoadInputs LoadOf(UnionCase union, ThresholdSet thresholds) => new()
    {
        ShootLengthM = union.ShootM,
        UnionDiameterM = FootM(union),
        StrengthFrac = union.StrengthFrac,
        GustShareFrac = ShootGust.ShareFrac(union.Climate.Place.Site, union.Exposure.HeightM, union.ShootM),
        LeafFrac = union.Season == WoodSeason.Rest ? 0 : 1,
        LeafyWidthM = thresholds.Number("wind.shoot.leaf_area_per_length", union.Subject),
        Support = union.Support switch
        {
            Grafts.ShootSupport.Free => Hold.Free,
            Grafts.ShootSupport.Tied => Hold.Tied,
            Grafts.ShootSupport.Staked => Hold.Staked,
            _ => throw new ArgumentOutOfRangeException(nameof(union), union.Support, "Unknown support."),
        },
        WoodStrengthPa = union.Species.GreenWoodStrengthPa,
    };

    // On a thick stub and under a bud the shoot is held by its own foot, not by the whole stem.
    private static double FootM(UnionCase union)
    {
        double foot = Math.Max(ThinnestFootM, FootShareFrac * union.ShootM);
        return union.Technique.IsOnStub() || union.Technique.KeepsTop() ? Math.Min(union.Exposure.DiameterM, foot) : union.Exposure.DiameterM;
    }
}
