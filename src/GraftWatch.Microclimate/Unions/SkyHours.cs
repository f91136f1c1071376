using GraftWatch.Microclimate.Sites;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Microclimate.Unions;

/// <summary>Everything of a place's hours that all its unions share: sun, beam and diffuse, sky and ground radiation, air.</summary>
/// <remarks>Arrays are per hour that ends at the stamp, length <see cref="Hours"/>; NaN where an input is missing.</remarks>
public sealed class SkyHours
{
    private SkyHours(Site site, HourlyWeather weather)
    {
        Site = site;
        Weather = weather;
        int n = weather.Hours;
        SunZenithDeg = new double[n];
        SunAzimuthDeg = new double[n];
        AirC = new double[n];
        DewPointC = new double[n];
        VapourPressureKPa = new double[n];
        WindMPerS = new double[n];
        GlobalWPerM2 = new double[n];
        BeamNormalWPerM2 = new double[n];
        DiffuseWPerM2 = new double[n];
        ExtraterrestrialNormalWPerM2 = new double[n];
        CloudFrac = new double[n];
        SkyLongwaveWPerM2 = new double[n];
        GroundC = new double[n];
    }

    /// <summary>The place.</summary>
    public Site Site { get; }

    /// <summary>The weather it was computed from.</summary>
    public HourlyWeather Weather { get; }

    /// <summary>Number of hours.</summary>
    public int Hours => Weather.Hours;

    /// <summary>End of the first hour.</summary>
    public Instant FirstHourEnd => Weather.FirstHourEnd;

    /// <summary>True zenith angle of the sun at the middle of the hour. [°], 0 to 180, no refraction.</summary>
    public double[] SunZenithDeg { get; }

    /// <summary>Azimuth of the sun at the middle of the hour, clockwise from north. [°]</summary>
    public double[] SunAzimuthDeg { get; }

    /// <summary>Mean air temperature of the hour at 2 m, frost offset of the place not included. [°C]</summary>
    public double[] AirC { get; }

    /// <summary>Mean dew point of the hour. [°C]</summary>
    public double[] DewPointC { get; }

    /// <summary>Mean vapour pressure of the hour. [kPa]</summary>
    public double[] VapourPressureKPa { get; }

    /// <summary>Mean wind of the hour at 10 m, shelter not included. [m/s]</summary>
    public double[] WindMPerS { get; }

    /// <summary>Global irradiance on the horizontal. [W/m²]</summary>
    public double[] GlobalWPerM2 { get; }

    /// <summary>Direct beam normal to the sun, skyline and low-sun cut applied. [W/m²]</summary>
    public double[] BeamNormalWPerM2 { get; }

    /// <summary>Diffuse irradiance on the horizontal. [W/m²]</summary>
    public double[] DiffuseWPerM2 { get; }

    /// <summary>Extraterrestrial irradiance normal to the sun. [W/m²]</summary>
    public double[] ExtraterrestrialNormalWPerM2 { get; }

    /// <summary>Cloud cover used for longwave, given or derived. [-], 0 to 1.</summary>
    public double[] CloudFrac { get; }

    /// <summary>Downward longwave on the horizontal. [W/m²]</summary>
    public double[] SkyLongwaveWPerM2 { get; }

    /// <summary>Temperature of the ground's surface, given or derived. [°C]</summary>
    public double[] GroundC { get; }

    /// <summary>Computes what all unions of a place share.</summary>
    /// <param name="site">The place.</param>
    /// <param name="weather">Its hours.</param>
    public static SkyHours Compute(Site site, HourlyWeather weather)
    {
        var sky = new SkyHours(site, weather);
        SkyHoursSteps.Fill(sky);
        return sky;
    }
}
