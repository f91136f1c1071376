using System.Globalization;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Climate;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Microclimate.Soil;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Aftercare.Outlook;

/// <summary>Scores the coming days for a planned grafting: the product of what speaks for each, as growers weigh it.</summary>
/// <remarks>Factors and limits are common practice, no source; they stand in thresholds.toml, the take bands in species.toml.</remarks>
internal static class OutlookMaker
{
    /// <summary>Working hours of a grafting day, local.</summary>
    private const int WorkFrom = 8;

    private const int WorkTo = 18;

    /// <summary>Worth of a day on which one thing is only tolerable. [-]</summary>
    private const double TolerableFrac = 0.6;

    /// <summary>Days that must follow within the forecast for a day to be judged. [d]</summary>
    private const int LeastDaysAfter = 3;

    /// <summary>Scores the days ahead.</summary>
    internal static GraftingOutlook Make(PlannedGrafting plan, SpeciesTraits species, PlaceClimate climate, ThresholdSet thresholds, LocalDate today)
    {
        var subject = new Subject(plan.Species, plan.Technique, Stage.Set, "none", "none", plan.Place);
        var days = new List<GraftingDay>();
        foreach (HourRun run in Windows.Of(climate.Calendar.Day, climate.FirstAhead))
        {
            LocalDate date = climate.Calendar.Dates[climate.Calendar.Day[run.From]];
            if (run.Length >= 12 && date >= today)
            {
                days.Add(Score(date, run, species, climate, thresholds, subject));
            }
        }

        (string stock, string scion) = StateFor(plan.Technique, species);
        return new GraftingOutlook(plan.Place, plan.Species, plan.Technique, days, stock, scion, Sentence(plan, species, days, stock, today, climate.Place.Zone));
    }

    /// <summary>The outlook of a plan that no day can be scored for.</summary>
    /// <param name="plan">The plan.</param>
    /// <param name="species">Its species; null when the handbook does not have it, and the states are then empty.</param>
    /// <param name="because">Ends the sentence "no day could be judged, because …".</param>
    internal static GraftingOutlook Unjudged(PlannedGrafting plan, SpeciesTraits? species, string because)
    {
        (string stock, string scion) = species is null ? (string.Empty, string.Empty) : StateFor(plan.Technique, species);
        string what = $"{plan.Technique.Name()} of {species?.Name ?? plan.Species}";
        return new GraftingOutlook(plan.Place, plan.Species, plan.Technique, [], stock, scion, $"No day for a {what} could be judged, because {because.TrimEnd('.')}.");
    }

    private static GraftingDay Score(LocalDate date, HourRun day, SpeciesTraits species, PlaceClimate climate, ThresholdSet thresholds, Subject subject)
    {
        int last = climate.Hours - 1;
        if (last - day.To < LeastDaysAfter * 24)
        {
            return new GraftingDay(date, double.NaN, ["the forecast ends too soon after"]);
        }

        double Limit(string key) => thresholds.Number("outlook.day." + key, subject);
        var after = new HourRun(day.From, Math.Min(last, day.From + (14 * 24)));
        var ten = new HourRun(day.From, Math.Min(last, day.From + (10 * 24)));
        var against = new List<string>();
        double score = 1;
        void Weigh(double value, double good, double tolerable, double sign, string words)
        {
            double factor = double.IsNaN(value) ? double.NaN : sign * value <= sign * good ? 1 : sign * value <= sign * tolerable ? TolerableFrac : 0;
            score *= factor;
            if (!(factor >= 1))
            {
                against.Add(double.IsNaN(factor) ? words + " not known" : words);
            }
        }

        double warmest = Extreme(climate.Sky.AirC, ten, highest: true);
        double coldest = Extreme(climate.Sky.AirC, ten, highest: false);
        double mean = PlaceClimate.Mean(climate.Sky.AirC, after);
        Weigh(warmest, Limit("air_max"), Limit("air_veto"), 1, "heat in the days after");
        if (!double.IsNaN(species.TakeFromC))
        {
            double below = species.TakeFromC - mean;
            Weigh(below, Limit("band"), Limit("veto"), 1, "too cool to knit");
            Weigh(mean - species.TakeToC, Limit("band"), Limit("veto"), 1, "too warm for the scion to stay asleep");
        }

        Weigh(coldest, Limit("frost"), species.HardyDormant ? Limit("frost") - 3 : Limit("frost"), -1, "frost in the days after");
        Weigh(Rain(climate, day), Limit("rain"), Limit("rain_veto"), 1, "rain on the day or the next");
        HourRun work = Work(climate, day);
        Weigh(PlaceClimate.Mean(climate.Sky.WindMPerS, work), Limit("wind"), Limit("wind") + 2, 1, "wind");
        Weigh(Mean(climate.Weather[WeatherQuantity.HumidityPct], work), 100 * Limit("humidity"), 25, -1, "dry air while you work");
        if (species.Bleeding >= BleedClass.Moderate && !IsBench(subject.Technique))
        {
            Weigh(Sap(climate, day, species), 0.35, Limit("sap"), 1, "sap pressure");
        }

        return new GraftingDay(date, score, against);
    }

    // Saddles are made on the bench, where nothing bleeds.
    private static bool IsBench(Technique technique) => technique == Technique.Saddle;

    private static double Sap(PlaceClimate climate, HourRun day, SpeciesTraits species)
    {
        RootZoneHours roots = climate.RootZone;
        double highest = double.NaN;
        for (int i = day.From; i <= day.To; i++)
        {
            double at = SapIndex.Value(roots.SoilC[i], roots.WaterFrac[i], roots.RainThreeDaysMm[i], roots.EtDayMm[i], 0, species.SapWeightFrac);
            highest = double.IsNaN(highest) || at > highest ? at : highest;
        }

        return highest;
    }

    private static double Rain(PlaceClimate climate, HourRun day)
    {
        ReadOnlySpan<double> rain = climate.Weather[WeatherQuantity.PrecipitationMm];
        double sum = 0;
        for (int i = day.From; i <= Math.Min(day.To + 24, rain.Length - 1); i++)
        {
            sum += rain[i];
        }

        return sum;
    }

    private static HourRun Work(PlaceClimate climate, HourRun day)
    {
        int from = day.From;
        while (from < day.To && climate.Calendar.LocalHour[from] < WorkFrom)
        {
            from++;
        }

        int to = from;
        while (to < day.To && climate.Calendar.LocalHour[to + 1] < WorkTo)
        {
            to++;
        }

        return new HourRun(from, to);
    }

    private static double Mean(ReadOnlySpan<double> values, HourRun run)
    {
        double sum = 0;
        for (int i = run.From; i <= run.To; i++)
        {
            sum += values[i];
        }

        return sum / run.Length;
    }

    private static double Extreme(double[] values, HourRun run, bool highest)
    {
        double found = double.NaN;
        for (int i = run.From; i <= run.To; i++)
        {
            found = double.IsNaN(found) || (highest ? values[i] > found : values[i] < found) ? values[i] : found;
        }

        return found;
    }

    private static (string Stock, string Scion) StateFor(Technique technique, SpeciesTraits species) => technique switch
    {
        Technique.Bark or Technique.Inlay => ("bark slipping, leaves coming", "dormant, kept cold"),
        Technique.TBud or Technique.PatchBud => ("bark slipping: two cuts in a narrow V, the tip must lift cleanly from wet wood", "a mature bud of this season, leaf cut to its stub"),
        Technique.ChipBud => ("sound and turgid; the bark need not slip", "dormant in spring, a mature bud in late summer"),
        Technique.SideVeneer or Technique.Approach => ("growing and turgid", species.Evergreen ? "firm, rounded last flush" : "dormant, kept cold"),
        Technique.Saddle => ("dormant, on the bench", "dormant, of the same thickness"),
        _ => ("dormant to just moving", "dormant, kept cold"),
    };

    private static string Sentence(PlannedGrafting plan, SpeciesTraits species, List<GraftingDay> days, string stock, LocalDate today, DateTimeZone zone)
    {
        var words = new DayWords(today, zone);
        string what = $"{plan.Technique.Name()} of {species.Name}";
        GraftingDay[] good = [.. days.Where(day => day.IsGood)];
        if (good.Length > 0)
        {
            return $"Good days for a {what}: {PlaceWords.List([.. good.Select(day => words.Day(day.Date))])}. The stock must be {stock}.";
        }

        string[] reasons = [.. days.Where(day => !double.IsNaN(day.ScoreFrac)).SelectMany(day => day.Against).GroupBy(reason => reason).OrderByDescending(group => group.Count()).Select(group => group.Key).Take(2)];
        return reasons.Length == 0
            ? $"The forecast is too short to choose a day for a {what}."
            : string.Create(CultureInfo.InvariantCulture, $"No good day for a {what} in the {days.Count(day => !double.IsNaN(day.ScoreFrac))} days that can be judged: {PlaceWords.List(reasons)}.");
    }
}
