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
        GlobalOrigin = new WeatherOrigin[n];
        BeamOrigin = new WeatherOrigin[n];
        DewPointOrigin = new WeatherOrigin[n];
        CloudOrigin = new WeatherOrigin[n];
        GroundOrigin = new WeatherOrigin[n];
        GroundAlbedoFrac = new double[n];
        SunIsUp = new bool[n];
        PressureKPa = new double[n];
        SunEast = new double[n];
        SunNorth = new double[n];
        SunUp = new double[n];
        CircumsolarNormalWPerM2 = new double[n];
        IsotropicDiffuseWPerM2 = new double[n];
        GroundLightWPerM2 = new double[n];
        BlackBodyAirWPerM2 = new double[n];
        LowSkyWPerM2 = new double[n];
        GroundLongwaveWPerM2 = new double[n];
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

    /// <summary>Where <see cref="GlobalWPerM2"/> came from: a source, or Derived (night, from its parts, or from cloud).</summary>
    public WeatherOrigin[] GlobalOrigin { get; }

    /// <summary>Where the split into beam and diffuse came from; Derived when the split is modelled.</summary>
    public WeatherOrigin[] BeamOrigin { get; }

    /// <summary>Where <see cref="DewPointC"/> came from; Derived when computed from relative humidity.</summary>
    public WeatherOrigin[] DewPointOrigin { get; }

    /// <summary>Where <see cref="CloudFrac"/> came from; Derived when read off the sun.</summary>
    public WeatherOrigin[] CloudOrigin { get; }

    /// <summary>Where <see cref="GroundC"/> came from; Derived when estimated.</summary>
    public WeatherOrigin[] GroundOrigin { get; }

    /// <summary>Albedo of the ground in the hour, snow included. [-]</summary>
    public double[] GroundAlbedoFrac { get; }

    /// <summary>Whether any of the sun stood above a level horizon in the hour.</summary>
    public bool[] SunIsUp { get; }

    /// <summary>Air pressure, from the elevation where no source gives it. [kPa]</summary>
    public double[] PressureKPa { get; }

    /// <summary>East component of the sun's direction. [-]</summary>
    internal double[] SunEast { get; }

    /// <summary>North component of the sun's direction. [-]</summary>
    internal double[] SunNorth { get; }

    /// <summary>Upward component of the sun's direction, the cosine of the zenith. [-]</summary>
    internal double[] SunUp { get; }

    /// <summary>Light from around the sun, as a beam normal to it. [W/m²]</summary>
    internal double[] CircumsolarNormalWPerM2 { get; }

    /// <summary>The rest of the sky's light on the horizontal. [W/m²]</summary>
    internal double[] IsotropicDiffuseWPerM2 { get; }

    /// <summary>Light the ground sends up. [W/m²]</summary>
    internal double[] GroundLightWPerM2 { get; }

    /// <summary>Black-body radiation at air temperature. [W/m²]</summary>
    internal double[] BlackBodyAirWPerM2 { get; }

    /// <summary>What a vertical face receives beyond half the sky. [W/m²]</summary>
    internal double[] LowSkyWPerM2 { get; }

    /// <summary>Thermal infrared the ground sends up. [W/m²]</summary>
    internal double[] GroundLongwaveWPerM2 { get; }

    /// <summary>Computes what all unions of a place share.</summary>
    /// <param name="site">The place.</param>
    /// <param name="weather">Its hours.</param>
    /// <exception cref="ArgumentOutOfRangeException">A value of the place lies outside the range its property names.</exception>
    public static SkyHours Compute(Site site, HourlyWeather weather)
    {
        Require.Within(site.LatitudeDeg, -90, 90);
        Require.Within(site.LongitudeDeg, -180, 180);
        Require.Within(site.ElevationM, -430, 9000);
        Require.Within(site.GroundAlbedoFrac, 0, 1);
        Require.Within(site.RoughnessM, 0.0002, 3);
        Require.Within(site.ShelterWindFrac, 0, 1);
        Require.Within(site.FrostOffsetK, -15, 15);
        var sky = new SkyHours(site, weather);
        SkyHoursSteps.Fill(sky);
        return sky;
    }
}
