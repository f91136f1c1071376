using GraftWatch.Microclimate.Longwave;
using GraftWatch.Microclimate.Radiation;
using GraftWatch.Microclimate.Sites;
using GraftWatch.Microclimate.Solar;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Microclimate.Unions;

/// <summary>The steps of <see cref="SkyHours"/>, in order. Each fills columns the next ones read.</summary>
internal static class SkyHoursSteps
{
    private const double RadPerDeg = Math.PI / 180;

    /// <summary>Fills every column.</summary>
    /// <param name="sky">Receives the columns.</param>
    internal static void Fill(SkyHours sky)
    {
        Sun(sky);
        Air(sky);
        Global(sky);
        CloudSteps.Fill(sky);
        Beam(sky);
        Longwave(sky);
        Ground(sky);
    }

    private static void Sun(SkyHours sky)
    {
        double latitudeDeg = sky.Site.LatitudeDeg, longitudeDeg = sky.Site.LongitudeDeg;
        for (int i = 0; i < sky.Hours; i++)
        {
            Instant end = sky.Weather.EndOf(i);
            SunPosition middle = SunPosition.At(end - Duration.FromMinutes(30), latitudeDeg, longitudeDeg);
            sky.SunZenithDeg[i] = middle.ZenithDeg;
            sky.SunAzimuthDeg[i] = middle.AzimuthDeg;
            (double sinZenith, double cosZenith) = Math.SinCos(middle.ZenithDeg * RadPerDeg);
            (double sinAzimuth, double cosAzimuth) = Math.SinCos(middle.AzimuthDeg * RadPerDeg);
            sky.SunEast[i] = sinZenith * sinAzimuth;
            sky.SunNorth[i] = sinZenith * cosAzimuth;
            sky.SunUp[i] = cosZenith;
            sky.SunIsUp[i] = IsUp(sky.Site, end, middle.ZenithDeg);
            sky.ExtraterrestrialNormalWPerM2[i] = Sunlight.ExtraterrestrialNormalWPerM2(end.InUtc().DayOfYear);
        }
    }

    /// <summary>Whether the sun was up at the start, the middle or the end of the hour; it climbs at most 7.5° in half an hour.</summary>
    private static bool IsUp(Site site, Instant end, double middleZenithDeg)
    {
        if (middleZenithDeg < SunPosition.RiseZenithDeg)
        {
            return true;
        }

        return middleZenithDeg < SunPosition.RiseZenithDeg + 7.6
            && (SunPosition.At(end, site.LatitudeDeg, site.LongitudeDeg).ZenithDeg < SunPosition.RiseZenithDeg
                || SunPosition.At(end - Duration.FromHours(1), site.LatitudeDeg, site.LongitudeDeg).ZenithDeg < SunPosition.RiseZenithDeg);
    }

    private static void Air(SkyHours sky)
    {
        HourlyWeather weather = sky.Weather;
        weather.HourMean(WeatherQuantity.AirC, sky.AirC);
        weather.HourMean(WeatherQuantity.WindMPerS, sky.WindMPerS);
        weather.HourMean(WeatherQuantity.DewPointC, sky.DewPointC);
        weather.HourMean(WeatherQuantity.PressureKPa, sky.PressureKPa);
        var humidityPct = new double[sky.Hours];
        weather.HourMean(WeatherQuantity.HumidityPct, humidityPct);
        double standardKPa = Humidity.Humidity.PressureKPa(sky.Site.ElevationM);
        for (int i = 0; i < sky.Hours; i++)
        {
            sky.DewPointOrigin[i] = Known(sky.DewPointC[i], weather.OriginOf(WeatherQuantity.DewPointC, i));
            sky.VapourPressureKPa[i] = Humidity.Humidity.VapourPressureKPa(sky.DewPointC[i]);
            if (double.IsNaN(sky.DewPointC[i]) && !double.IsNaN(humidityPct[i]))
            {
                sky.VapourPressureKPa[i] = Humidity.Humidity.VapourPressureFromHumidityKPa(sky.AirC[i], humidityPct[i]);
                sky.DewPointC[i] = Humidity.Humidity.DewPointC(sky.VapourPressureKPa[i]);
                sky.DewPointOrigin[i] = Known(sky.DewPointC[i], WeatherOrigin.Derived);
            }

            if (double.IsNaN(sky.PressureKPa[i]))
            {
                sky.PressureKPa[i] = standardKPa;
            }

            sky.BlackBodyAirWPerM2[i] = ThermalSky.BlackBodyWPerM2(sky.AirC[i]);
        }
    }

    /// <summary>Global irradiance as given, or the sum of given parts, or 0 by night whatever the source says or lacks.</summary>
    private static void Global(SkyHours sky)
    {
        HourlyWeather weather = sky.Weather;
        ReadOnlySpan<double> given = weather[WeatherQuantity.GlobalWPerM2];
        ReadOnlySpan<double> direct = weather[WeatherQuantity.DirectHorizontalWPerM2];
        ReadOnlySpan<double> diffuse = weather[WeatherQuantity.DiffuseWPerM2];
        for (int i = 0; i < sky.Hours; i++)
        {
            if (!sky.SunIsUp[i])
            {
                sky.GlobalWPerM2[i] = 0;
                sky.GlobalOrigin[i] = WeatherOrigin.Derived;
                continue;
            }

            double sumWPerM2 = direct[i] + diffuse[i];
            bool fromParts = double.IsNaN(given[i]) && !double.IsNaN(sumWPerM2);
            sky.GlobalWPerM2[i] = Math.Max(0, fromParts ? sumWPerM2 : given[i]);
            sky.GlobalOrigin[i] = Known(
                sky.GlobalWPerM2[i], fromParts ? WeatherOrigin.Derived : weather.OriginOf(WeatherQuantity.GlobalWPerM2, i));
        }
    }

    private static void Beam(SkyHours sky)
    {
        for (int i = 0; i < sky.Hours; i++)
        {
            (BeamDiffuse parts, sky.BeamOrigin[i]) = Parts(sky, i);
            double cosZenith = sky.SunUp[i];
            bool hidden = 90 - sky.SunZenithDeg[i] < Skyline.HeightDeg(sky.Site.HorizonDeg, sky.SunAzimuthDeg[i]);
            double beam = hidden ? 0 * parts.BeamNormalWPerM2 : parts.BeamNormalWPerM2;
            sky.BeamNormalWPerM2[i] = beam;
            sky.DiffuseWPerM2[i] = parts.DiffuseWPerM2;

            // Behind the skyline the light from around the sun is counted with the rest of the sky.
            double index = PatchLight.BeamIndex(beam, sky.ExtraterrestrialNormalWPerM2[i]);
            sky.CircumsolarNormalWPerM2[i] = parts.DiffuseWPerM2 * index / Math.Max(cosZenith, PatchLight.LowestCosZenith);
            sky.IsotropicDiffuseWPerM2[i] = parts.DiffuseWPerM2 * (1 - index);
            double groundWPerM2 = parts.DiffuseWPerM2 + (beam * Math.Max(0, cosZenith));
            sky.GroundLightWPerM2[i] = groundWPerM2;
        }
    }

    /// <summary>Given parts win; what is lacking follows from the global; with the global alone the split is modelled.</summary>
    private static (BeamDiffuse Parts, WeatherOrigin Origin) Parts(SkyHours sky, int i)
    {
        HourlyWeather weather = sky.Weather;
        double globalWPerM2 = sky.GlobalWPerM2[i];
        double topWPerM2 = sky.ExtraterrestrialNormalWPerM2[i];
        if (!sky.SunIsUp[i] || sky.SunZenithDeg[i] > Sunlight.BeamCutZenithDeg)
        {
            return (new BeamDiffuse(0 * globalWPerM2, globalWPerM2), Known(globalWPerM2, WeatherOrigin.Derived));
        }

        double cosZenith = sky.SunUp[i];
        double normal = weather[WeatherQuantity.DirectNormalWPerM2][i];
        double direct = weather[WeatherQuantity.DirectHorizontalWPerM2][i];
        double diffuse = weather[WeatherQuantity.DiffuseWPerM2][i];
        WeatherOrigin origin = weather.OriginOf(WeatherQuantity.DirectNormalWPerM2, i);
        if (double.IsNaN(normal))
        {
            normal = direct / cosZenith;
            origin = weather.OriginOf(WeatherQuantity.DirectHorizontalWPerM2, i);
        }

        if (double.IsNaN(normal))
        {
            normal = (globalWPerM2 - diffuse) / cosZenith;
            origin = weather.OriginOf(WeatherQuantity.DiffuseWPerM2, i);
        }

        if (double.IsNaN(normal))
        {
            return (BeamDiffuse.Split(globalWPerM2, sky.SunZenithDeg[i], topWPerM2), Known(globalWPerM2, WeatherOrigin.Derived));
        }

        normal = Math.Clamp(normal, 0, topWPerM2);
        diffuse = double.IsNaN(diffuse) ? globalWPerM2 - (normal * cosZenith) : diffuse;
        return (new BeamDiffuse(normal, Math.Max(0, diffuse)), Known(diffuse, origin));
    }

    private static void Longwave(SkyHours sky)
    {
        for (int i = 0; i < sky.Hours; i++)
        {
            double clear = ThermalSky.ClearEmissivityFrac(sky.AirC[i], sky.VapourPressureKPa[i]);
            double black = sky.BlackBodyAirWPerM2[i];
            sky.SkyLongwaveWPerM2[i] = ThermalSky.CloudedEmissivityFrac(clear, sky.CloudFrac[i]) * black;
            sky.LowSkyWPerM2[i] = ThermalSky.LowSkyWPerM2(black, sky.CloudFrac[i]);
        }
    }

    private static void Ground(SkyHours sky)
    {
        sky.Weather.HourMean(WeatherQuantity.SkinC, sky.GroundC);
        SnowCover.FillAlbedo(sky);
        for (int i = 0; i < sky.Hours; i++)
        {
            sky.GroundOrigin[i] = Known(sky.GroundC[i], sky.Weather.OriginOf(WeatherQuantity.SkinC, i));
            if (double.IsNaN(sky.GroundC[i]))
            {
                sky.GroundC[i] = ThermalSky.GroundC(sky.AirC[i], sky.GlobalWPerM2[i], sky.CloudFrac[i], sky.WindMPerS[i]);
                sky.GroundOrigin[i] = Known(sky.GroundC[i], WeatherOrigin.Derived);
            }

            sky.GroundLongwaveWPerM2[i] = ThermalSky.GroundEmissivityFrac * ThermalSky.BlackBodyWPerM2(sky.GroundC[i]);
            sky.GroundLightWPerM2[i] *= sky.GroundAlbedoFrac[i];
        }
    }

    private static WeatherOrigin Known(double value, WeatherOrigin origin) => double.IsNaN(value) ? WeatherOrigin.Missing : origin;
}
