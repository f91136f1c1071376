using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Climate;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Aftercare.Tasks;

/// <content>Dated work that the past days' weather calls for.</content>
internal static partial class TaskCalendar
{
    /// <summary>An extra look after a rough day: heat, gale, downpour or frost within the last 24 hours.</summary>
    private static DatedTask? LookAfter(TaskContext context)
    {
        if (context.Age > context.Number("task.look.until") || context.Stage > Stage.Run || context.DoneOn(WorkAction.Look) == context.Today)
        {
            return null;
        }

        // The second hot day of a spell shows nothing that the first did not.
        int now = context.View.Climate.NowIndex;
        string kind = Rough(context, now - 23, now);
        kind = kind == Rough(context, now - 47, now - 24) ? string.Empty : kind;
        return kind.Length == 0
            ? null
            : new DatedTask
            {
                Action = WorkAction.Look,
                Kind = kind,
                Level = Level.Note,
                From = context.Today,
                By = context.Today.PlusDays(1),
                Why = kind switch
                {
                    "after-heat" => "Wax runs and film cracks in heat.",
                    "after-wind" => "Wind loosens ties and covers.",
                    "after-rain" => "Water stands behind tape and in bags.",
                    _ => "Wax cracks in frost.",
                },
            };
    }

    private static string Rough(TaskContext context, int from, int to)
    {
        PlaceClimate climate = context.View.Climate;
        double warmest = double.NegativeInfinity, coldest = double.PositiveInfinity, gust = 0, rain = 0;
        ReadOnlySpan<double> rains = climate.Weather[WeatherQuantity.PrecipitationMm];
        for (int i = Math.Max(0, from); i <= to; i++)
        {
            warmest = climate.Sky.AirC[i] > warmest ? climate.Sky.AirC[i] : warmest;
            coldest = climate.Sky.AirC[i] < coldest ? climate.Sky.AirC[i] : coldest;
            gust = climate.Gusts[i] > gust ? climate.Gusts[i] : gust;
            rain += double.IsNaN(rains[i]) ? 0 : rains[i];
        }

        return warmest >= context.Number("task.look.after_air") ? "after-heat"
            : gust >= context.Number("task.look.after_gust") ? "after-wind"
            : rain >= context.Number("task.look.after_rain") ? "after-rain"
            : coldest <= context.Number("task.look.after_frost") ? "after-frost"
            : string.Empty;
    }

    /// <summary>Watering when sun and wind have drawn enough from the soil since it was last wetted.</summary>
    private static DatedTask? Water(TaskContext context)
    {
        if (context.Age > context.Number("task.water.until") || context.Stage >= Stage.Ripen)
        {
            return null;
        }

        double used = UsedMm(context);
        return used >= context.Number("task.water.use")
            ? new DatedTask
            {
                Action = WorkAction.Water,
                Level = Level.Act,
                From = context.Today,
                By = context.Today.PlusDays(1),
                Why = "Only a turgid cambium divides. Leave it out where you have irrigated: that is not known here unless you record it.",
            }
            : null;
    }

    /// <summary>Whether watering cannot be judged for want of rain or evaporation; ends the sentence "not checked, because …".</summary>
    internal static string? WaterUnknown(TaskContext context)
    {
        if (context.Age > context.Number("task.water.until") || context.Stage >= Stage.Ripen || !double.IsNaN(UsedMm(context)))
        {
            return null;
        }

        string place = context.View.Climate.Place.Name;
        return context.View.Climate.Weather.Has(WeatherQuantity.PrecipitationMm)
            ? $"evaporation at {place} cannot be computed from what the source gave, so soil water is unknown"
            : $"the source gave no rain for {place}, so soil water is unknown";
    }

    private static double UsedMm(TaskContext context)
    {
        PlaceClimate climate = context.View.Climate;
        if (!climate.Weather.Has(WeatherQuantity.PrecipitationMm))
        {
            return double.NaN;
        }

        double share = context.Number("task.water.crop");
        double wetting = context.Number("task.water.rain");
        Instant? watered = context.View.State.Last(ObservationKind.Watered);
        Instant? said = context.DoneOn(WorkAction.Water) is { } day ? climate.Place.Zone.AtStartOfDay(day.PlusDays(1)).ToInstant() : null;
        ReadOnlySpan<double> rains = climate.Weather[WeatherQuantity.PrecipitationMm];
        double[] et0 = climate.RootZone.Et0MmPerHour;
        double used = 0, rain24 = 0;
        for (int i = 0; i <= climate.NowIndex; i++)
        {
            double rain = double.IsNaN(rains[i]) ? 0 : rains[i];
            double left = i >= 24 && !double.IsNaN(rains[i - 24]) ? rains[i - 24] : 0;
            rain24 = Math.Max(0, rain24 + rain - left);
            used = Math.Max(0, used + (double.IsNaN(et0[i]) ? 0 : share * et0[i]) - rain);
            Instant end = climate.EndOf(i);
            used = rain24 >= wetting || end <= watered || end <= said ? 0 : used;
        }

        return climate.NowIndex >= 0 && Array.TrueForAll(et0, double.IsNaN) ? double.NaN : used;
    }
}
