using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Microclimate.Unions;
using GraftWatch.Microclimate.Weather;

namespace GraftWatch.Aftercare.Hazards;

/// <summary>Frost: tissue temperature of a night against what the tenderest part stands.</summary>
/// <remarks>
/// Buds by the lethal tables of their species and BBCH code [MSUFrost], [UtahFrost] and [Snyder2005] table 4.8; the union in callus, shoots and evergreen flushes by
/// classes that are caution, not data. Where two parts are in danger the worse one speaks.
/// </remarks>
internal static class FrostCheck
{
    /// <summary>First BBCH code of unfolded leaves.</summary>
    private const int LeavesOut = 11;

    /// <summary>Judges the nights ahead; null for shoots too long to be covered.</summary>
    internal static HazardOutcome? Judge(UnionCase union, ThresholdSet thresholds)
    {
        Subject subject = union.Subject;
        HazardOutcome? worst = null;
        if (ShootFrame(union, thresholds, subject) is { } top)
        {
            worst = Of(union, top, union.Hours.BudC, union.FrostGainK);
        }

        if (UnionFrame(union, thresholds, subject) is { } joint)
        {
            HazardOutcome outcome = Of(union, joint, Coldest(union.Hours), union.FrostGainK);
            worst = worst is null || IsWorse(outcome, worst) ? outcome : worst;
        }

        return worst;
    }

    /// <summary>The row of the lethal table for a code; null where the species has none.</summary>
    internal static FrostRow? RowOf(SpeciesTraits species, int bbch)
    {
        foreach (FrostRow row in species.Frost)
        {
            if (bbch >= row.BbchFrom && bbch <= row.BbchTo)
            {
                return row;
            }
        }

        return null;
    }

    private static HazardOutcome? ShootFrame(UnionCase union, ThresholdSet thresholds, in Subject subject)
    {
        bool green = union.InLeaf || union.ShootM >= 0.02 || union.Bbch >= LeavesOut || union.Stage >= Stage.Run;
        if (union.Season == WoodSeason.Rest)
        {
            return Dormant(union, thresholds, subject);
        }

        if (union.ShootM > thresholds.Number("frost.when.cover_from", subject))
        {
            return null;
        }

        if (union.Season == WoodSeason.FirstAutumn)
        {
            return Frame("temperature of this year's wood", thresholds.Levels("frost.autumn", subject), "unripe shoot");
        }

        if (union.Bbch is { } code and >= 1 && RowOf(union.Species, code) is { } row)
        {
            Levels margin = thresholds.Levels("frost.bud", subject);
            return Frame("bud temperature", new Levels(row.Kill10C + margin.Note, row.Kill10C + margin.Act, row.Kill10C + margin.Urgent), row.Name);
        }

        if (union.Species.Evergreen && green)
        {
            return Frame("leaf temperature", thresholds.Levels("frost.evergreen", subject), "leafy graft");
        }

        return green
            ? Frame("shoot temperature", thresholds.Levels("frost.shoot", subject), "green shoot")
            : Dormant(union, thresholds, subject);
    }

    private static HazardOutcome Dormant(UnionCase union, ThresholdSet thresholds, in Subject subject) => union.Species.HardyDormant
        ? Frame("scion temperature", thresholds.Levels("frost.dormant", subject), "dormant scion")
        : Frame("scion temperature", thresholds.Levels("frost.tender", subject), "dormant scion of a tender kind");

    private static HazardOutcome? UnionFrame(UnionCase union, ThresholdSet thresholds, in Subject subject) =>
        union.Stage is Stage.Callus or Stage.Knit && union.Season != WoodSeason.Rest
            ? Frame("union temperature", thresholds.Levels("frost.union", subject), "union in callus")
            : null;

    private static HazardOutcome Frame(string quantity, Levels levels, string part) => new()
    {
        Hazard = Hazard.Frost,
        Quantity = quantity,
        Unit = "°C",
        Direction = LevelDirection.Falling,
        Levels = levels,
        Part = part,
    };

    private static HazardOutcome Of(UnionCase union, HazardOutcome frame, double[] tissueC, double gainK)
    {
        double[] values = gainK > 0 ? Array.ConvertAll(tissueC, at => at + gainK) : tissueC;
        return HourlyJudgement.Of(
            frame,
            union.Climate,
            values,
            byNight: true,
            HoursNeeded.One,
            hour => union.Climate.WhyMissing(hour, WeatherQuantity.AirC, WeatherQuantity.HumidityPct, WeatherQuantity.WindMPerS, WeatherQuantity.GlobalWPerM2));
    }

    private static double[] Coldest(UnionHours hours)
    {
        var coldest = new double[hours.CambiumC.Length];
        for (int i = 0; i < coldest.Length; i++)
        {
            coldest[i] = Math.Min(hours.CambiumC[i], hours.MeanStemC[i]);
        }

        return coldest;
    }

    private static bool IsWorse(HazardOutcome one, HazardOutcome other)
    {
        Level oneLevel = one.LevelBefore(int.MaxValue);
        Level otherLevel = other.LevelBefore(int.MaxValue);
        return oneLevel != otherLevel
            ? oneLevel > otherLevel
            : one.WorstValue - one.Levels.Act < other.WorstValue - other.Levels.Act;
    }
}
