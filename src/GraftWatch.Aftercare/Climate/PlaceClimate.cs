using GraftWatch.Aftercare.Grafts;
using GraftWatch.Microclimate.Soil;
using GraftWatch.Microclimate.Unions;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Microclimate.Wind;
using NodaTime;

namespace GraftWatch.Aftercare.Climate;

/// <summary>One place's hours and everything its unions share; unions of equal exposure share one computation.</summary>
internal sealed class PlaceClimate
{
    /// <summary>A first week so much warmer than the growth threshold means that growth began before it. [K], engineering choice.</summary>
    private const double WellIntoGrowthK = 3;

    /// <summary>Days of growth taken for granted then. [d], engineering choice.</summary>
    private const int FullLeafDays = 40;

    private readonly Dictionary<UnionExposure, UnionHours> unions = [];
    private readonly Dictionary<(UnionExposure, int, int), UnionHours> openedByDay = [];
    private double[]? gusts;
    private RootZoneHours? rootZone;

    /// <summary>Takes a place with its hours.</summary>
    /// <param name="place">The place.</param>
    /// <param name="weather">Its hours.</param>
    /// <param name="now">The instant of the run.</param>
    internal PlaceClimate(Place place, HourlyWeather weather, Instant now)
    {
        Place = place;
        Weather = weather;
        Now = now;
        Sky = SkyHours.Compute(place.Site, weather);
        NowIndex = LastPastHour(weather, now);
        Calendar = new HourCalendar(weather.FirstHourEnd, weather.Hours, place.Zone);
    }

    /// <summary>The place.</summary>
    internal Place Place { get; }

    /// <summary>Its hours.</summary>
    internal HourlyWeather Weather { get; }

    /// <summary>The instant of the run.</summary>
    internal Instant Now { get; }

    /// <summary>What all unions share.</summary>
    internal SkyHours Sky { get; }

    /// <summary>Local days and hours of the grid.</summary>
    internal HourCalendar Calendar { get; }

    /// <summary>Index of the last hour that is past; -1 when all lie ahead.</summary>
    internal int NowIndex { get; }

    /// <summary>First hour that lies ahead.</summary>
    internal int FirstAhead => NowIndex + 1;

    /// <summary>Number of hours on the grid.</summary>
    internal int Hours => Weather.Hours;

    /// <summary>Strongest gust of each hour at 10 m. [m/s]</summary>
    internal double[] Gusts
    {
        get
        {
            if (gusts is null)
            {
                gusts = new double[Hours];
                GustsDerived = GustHours.Fill(Weather, Place.Site, gusts);
            }

            return gusts;
        }
    }

    /// <summary>How many gusts were derived from the mean wind; valid after <see cref="Gusts"/> was read.</summary>
    internal int GustsDerived { get; private set; }

    /// <summary>Soil warmth and water of the stocks.</summary>
    internal RootZoneHours RootZone => rootZone ??= RootZoneHours.Compute(Sky, new RootZone());

    /// <summary>The climate at unions of one exposure.</summary>
    internal UnionHours At(UnionExposure exposure)
    {
        if (!unions.TryGetValue(exposure, out UnionHours? hours))
        {
            hours = UnionClimate.Compute(Sky, exposure);
            unions.Add(exposure, hours);
        }

        return hours;
    }

    /// <summary>The climate under a cover that is opened in the morning and closed in the evening.</summary>
    /// <param name="exposure">The exposure with its cover closed.</param>
    /// <param name="openHour">Local hour from which it stands open.</param>
    /// <param name="closeHour">Local hour from which it is closed.</param>
    internal UnionHours At(UnionExposure exposure, int openHour, int closeHour)
    {
        if (!openedByDay.TryGetValue((exposure, openHour, closeHour), out UnionHours? spliced))
        {
            UnionHours closed = At(exposure with { Vented = false });
            UnionHours open = At(exposure with { Vented = true });
            spliced = Splice(closed, open, hour => hour >= openHour && hour < closeHour);
            openedByDay.Add((exposure, openHour, closeHour), spliced);
        }

        return spliced;
    }

    /// <summary>Days so far on which trees grew: daily means above a temperature. Where the hours begin in the middle of growth, more are taken for granted.</summary>
    /// <param name="meanC">Daily mean from which trees grow. [°C]</param>
    internal int GrowingDays(double meanC)
    {
        int days = 0;
        int seen = 0;
        double firstWeek = 0;
        foreach (HourRun day in Windows.Of(Calendar.Day, 0))
        {
            if (day.From > NowIndex)
            {
                break;
            }

            double mean = Mean(Sky.AirC, day);
            firstWeek += seen < 7 && !double.IsNaN(mean) ? mean : 0;
            seen++;
            days += mean >= meanC ? 1 : 0;
        }

        bool beganBefore = seen >= 7 && firstWeek / 7 >= meanC + WellIntoGrowthK;
        return days + (beganBefore ? FullLeafDays : 0);
    }

    /// <summary>Mean of hours; NaN as soon as one is missing or there is none.</summary>
    internal static double Mean(double[] values, HourRun run)
    {
        double sum = 0;
        for (int i = run.From; i <= run.To; i++)
        {
            sum += values[i];
        }

        return run.Length > 0 ? sum / run.Length : double.NaN;
    }

    /// <summary>End of hour <paramref name="hour"/>.</summary>
    internal Instant EndOf(int hour) => Weather.EndOf(hour);

    /// <summary>Start of hour <paramref name="hour"/>.</summary>
    internal Instant StartOf(int hour) => Weather.EndOf(hour - 1);

    /// <summary>Why a value computed from these quantities is missing at an hour; ends the sentence "not checked, because …".</summary>
    internal string WhyMissing(int hour, params ReadOnlySpan<WeatherQuantity> quantities)
    {
        foreach (WeatherQuantity quantity in quantities)
        {
            if (!Weather.Has(quantity))
            {
                return $"the source gave no {Words(quantity)} for {Place.Name}";
            }
        }

        foreach (WeatherQuantity quantity in quantities)
        {
            if (hour >= 0 && hour < Hours && double.IsNaN(Weather[quantity][hour]))
            {
                return $"hours of {Words(quantity)} are missing for {Place.Name}";
            }
        }

        return $"some of the weather it needs is missing for {Place.Name}";
    }

    private static int LastPastHour(HourlyWeather weather, Instant now)
    {
        int containing = weather.IndexOf(now);
        int past = weather.EndOf(containing) <= now ? containing : containing - 1;
        return Math.Clamp(past, -1, weather.Hours - 1);
    }

    private UnionHours Splice(UnionHours closed, UnionHours open, Func<int, bool> isOpen)
    {
        var result = new UnionHours(Hours);
        for (int i = 0; i < Hours; i++)
        {
            UnionHours from = isOpen(Calendar.LocalHour[i]) ? open : closed;
            result.BeamOnUnionWPerM2[i] = from.BeamOnUnionWPerM2[i];
            result.DiffuseOnUnionWPerM2[i] = from.DiffuseOnUnionWPerM2[i];
            result.BarkC[i] = from.BarkC[i];
            result.CambiumC[i] = from.CambiumC[i];
            result.MeanStemC[i] = from.MeanStemC[i];
            result.BudC[i] = from.BudC[i];
            result.VpdKPa[i] = from.VpdKPa[i];
            result.DryingIndex[i] = from.DryingIndex[i];
            result.WindMPerS[i] = from.WindMPerS[i];
        }

        return result;
    }

    private static string Words(WeatherQuantity quantity) => quantity switch
    {
        WeatherQuantity.AirC => "air temperature",
        WeatherQuantity.HumidityPct or WeatherQuantity.DewPointC => "humidity",
        WeatherQuantity.WindMPerS => "wind",
        WeatherQuantity.GustMPerS => "gusts",
        WeatherQuantity.GlobalWPerM2 => "sunshine",
        WeatherQuantity.PrecipitationMm => "rain",
        _ => "weather",
    };
}
