using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Climate;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Hazards;
using GraftWatch.Aftercare.Healing;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Microclimate.Humidity;
using GraftWatch.Microclimate.Soil;
using GraftWatch.Microclimate.Unions;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Aftercare.Explaining;

/// <summary>One graft hour by hour, with exactly the numbers a round judges it by.</summary>
/// <remarks>
/// Arrays are per hour that ends at the stamp, length <see cref="Hours"/>; NaN where an input is missing. Shoot, cover and
/// strength of the union are those of the day of the round, in every hour.
/// </remarks>
public sealed class GraftHours
{
    private readonly PlaceClimate climate;
    private readonly UnionCase union;

    private GraftHours(GraftView view, RoundRequest request)
    {
        climate = view.Climate;
        union = view.Case;
        Graft = view.Graft;
        ShootM = view.ShootM;
        IsShootEstimated = view.ShootEstimated;
        ShootMomentNm = new double[climate.Hours];
        ShootSafety = new double[climate.Hours];
        SapIndexValue = SapCheck.Index(union);
        HumidityPct = new double[climate.Hours];
        DewPointC = new double[climate.Hours];
        HealingDays = new double[climate.Hours];
        StageThen = new Stage?[climate.Hours];
        HealingRate = HealingPath.Rates(Union.CambiumC, view.Species.Curve);
        FillHumidity();
        FillShoot(request.Handbook);
        FillHealing(view);
    }

    /// <summary>The record.</summary>
    public Graft Graft { get; }

    /// <summary>The place.</summary>
    public Place Place => climate.Place;

    /// <summary>Number of hours.</summary>
    public int Hours => climate.Hours;

    /// <summary>The weather as it was given.</summary>
    public HourlyWeather Weather => climate.Weather;

    /// <summary>What all unions of the place share.</summary>
    public SkyHours Sky => climate.Sky;

    /// <summary>The climate at the union under its cover.</summary>
    public UnionHours Union => union.Hours;

    /// <summary>Soil and evapotranspiration at the place.</summary>
    public RootZoneHours RootZone => climate.RootZone;

    /// <summary>Relative humidity at the stamp, given or from the dew point. [%]</summary>
    public double[] HumidityPct { get; }

    /// <summary>Dew point at the stamp, given or from the humidity. [°C]</summary>
    public double[] DewPointC { get; }

    /// <summary>Strongest gust of the hour at 10 m, given or derived from the mean wind. [m/s]</summary>
    public IReadOnlyList<double> GustMPerS => climate.Gusts;

    /// <summary>Hours whose gust was derived.</summary>
    public int GustsDerived => climate.Gusts.Length > 0 ? climate.GustsDerived : 0;

    /// <summary>Sap index of the stock, less what relief cuts let out. [-]</summary>
    public double[] SapIndexValue { get; }

    /// <summary>Moment of the gust at the union. [N m]; 0 while there is no shoot.</summary>
    public double[] ShootMomentNm { get; }

    /// <summary>Strength of the union over that moment, or the growers' limit over the gust where that is less. [-]; infinite or NaN while there is no shoot.</summary>
    public double[] ShootSafety { get; }

    /// <summary>Relative healing rate. [-], 0 to 1.</summary>
    public double[] HealingRate { get; }

    /// <summary>Healing since grafting, corrected by what the grower saw. [optimum-days]; NaN before grafting.</summary>
    public double[] HealingDays { get; }

    /// <summary>Stage at the end of the hour; null before grafting.</summary>
    public IReadOnlyList<Stage?> Stage => StageThen;

    /// <summary>Length of the shoot. [m]</summary>
    public double ShootM { get; }

    /// <summary>Whether the length is an estimate of the clock.</summary>
    public bool IsShootEstimated { get; }

    private Stage?[] StageThen { get; }

    /// <summary>Computes the hours of one graft of a round.</summary>
    /// <param name="request">The round.</param>
    /// <param name="label">The graft.</param>
    /// <param name="fault">Why it cannot be computed: a sentence; empty when it can.</param>
    public static GraftHours? Of(RoundRequest request, string label, out string fault)
    {
        ArgumentNullException.ThrowIfNull(request);
        return View(request, label, out fault) is { } view ? new GraftHours(view, request) : null;
    }

    /// <summary>End of hour <paramref name="hour"/>.</summary>
    public Instant EndOf(int hour) => Weather.EndOf(hour);

    internal static GraftView? View(RoundRequest request, string label, out string fault)
    {
        int order = request.Grafts.TakeWhile(graft => graft.Label != label).Count();
        if (order == request.Grafts.Count)
        {
            string near = NearestName.Of(label, request.Grafts.Select(graft => graft.Label)) is { } name ? $" Nearest: {name}." : string.Empty;
            fault = $"There is no graft labelled {label} in the register.{near}";
            return null;
        }

        Graft graft = request.Grafts[order];
        PlaceWeather? place = request.Places.FirstOrDefault(candidate => candidate.Place.Name == graft.Place);
        var reader = new GraftReader(request);
        fault = place is null ? $"{label} cannot be computed, because its place {graft.Place} is not known."
            : place.Weather is null ? $"{label} cannot be computed, because {place.Trouble ?? "there is no weather for its place"}."
            : reader.Fault(graft) is { } record ? $"{label} cannot be computed, because {record}."
            : string.Empty;
        return fault.Length > 0 ? null : reader.Read(graft, order, new PlaceClimate(place!.Place, place.Weather!, request.Now));
    }

    private void FillHumidity()
    {
        ReadOnlySpan<double> airC = Weather[WeatherQuantity.AirC];
        ReadOnlySpan<double> givenPct = Weather[WeatherQuantity.HumidityPct];
        ReadOnlySpan<double> givenC = Weather[WeatherQuantity.DewPointC];
        for (int i = 0; i < Hours; i++)
        {
            HumidityPct[i] = double.IsNaN(givenPct[i]) ? Humidity.HumidityPct(airC[i], Humidity.VapourPressureKPa(givenC[i])) : givenPct[i];
            DewPointC[i] = double.IsNaN(givenC[i]) ? Humidity.DewPointFromHumidityC(airC[i], givenPct[i]) : givenC[i];
        }
    }

    private void FillShoot(Handbook handbook)
    {
        if (union.ShootM > 0)
        {
            WindCheck.Fill(union, handbook.Thresholds, ShootMomentNm, ShootSafety);
            return;
        }

        Array.Fill(ShootSafety, double.NaN);
    }

    private void FillHealing(GraftView view)
    {
        HealingClock clock = view.Clock;
        for (int i = 0; i < Hours; i++)
        {
            Instant end = EndOf(i);
            if (end < view.MadeAt)
            {
                HealingDays[i] = double.NaN;
                continue;
            }

            double days = end >= clock.CountedFrom
                ? clock.DaysThen + view.Path.Between(clock.CountedFrom, end)
                : Math.Min(clock.DaysThen, view.Path.Between(view.MadeAt, end));
            HealingDays[i] = view.Path.IsKnown ? days : double.NaN;
            StageThen[i] = clock.Stage is Grafts.Stage.Failed or Grafts.Stage.Established ? clock.Stage : view.Plan.StageAt(days);
        }
    }
}
