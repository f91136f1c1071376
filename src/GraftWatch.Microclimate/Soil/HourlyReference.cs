using GraftWatch.Microclimate.Response;
using NodaTime;
using MoistAir = GraftWatch.Microclimate.Humidity.Humidity;

namespace GraftWatch.Microclimate.Soil;

/// <summary>Reference evapotranspiration of a run of hours at one place, from hourly means.</summary>
/// <param name="LatitudeDeg">Latitude, north positive. [°], -90 to 90.</param>
/// <param name="LongitudeDeg">Longitude, east positive. [°], -180 to 180.</param>
/// <param name="ElevationM">Height above the sea. [m], -430 to 9000.</param>
/// <param name="Method">Standard to follow.</param>
public readonly record struct HourlyReference(double LatitudeDeg, double LongitudeDeg, double ElevationM, ReferenceMethod Method)
{
    /// <summary>Sine of the sun's altitude from which clearness is judged: 0.3 rad, [ASCE2005] p. 35.</summary>
    private static readonly double LowestClearnessSine = Math.Sin(0.3);

    /// <summary>Fills the reference evapotranspiration of every hour.</summary>
    /// <param name="firstHourEnd">End of hour 0, UTC.</param>
    /// <param name="airC">Mean air temperature. [°C]</param>
    /// <param name="vapourPressureKPa">Mean vapour pressure. [kPa]</param>
    /// <param name="windAt2MMPerS">Mean wind at 2 m. [m/s]</param>
    /// <param name="solarMjPerM2">Global radiation of the hour. [MJ/m²]</param>
    /// <param name="destination">Receives evapotranspiration [mm/h]; all spans have its length; NaN where an input of the hour is NaN.</param>
    /// <remarks>
    /// [Allen1998] eq. 53 or [ASCE2005] eq. 1 with net radiation of the standard. How cloudy a night is, is taken from the last hour
    /// with the sun above 0.3 rad; hours before the first such hour take that first one. An hour is placed by its middle.
    /// </remarks>
    /// <exception cref="ArgumentException">The lengths differ.</exception>
    public void Compute(
        Instant firstHourEnd,
        ReadOnlySpan<double> airC,
        ReadOnlySpan<double> vapourPressureKPa,
        ReadOnlySpan<double> windAt2MMPerS,
        ReadOnlySpan<double> solarMjPerM2,
        Span<double> destination)
    {
        int n = destination.Length;
        SpanLengths.RequireEqual(n, airC.Length, nameof(airC));
        SpanLengths.RequireEqual(n, vapourPressureKPa.Length, nameof(vapourPressureKPa));
        SpanLengths.RequireEqual(n, windAt2MMPerS.Length, nameof(windAt2MMPerS));
        SpanLengths.RequireEqual(n, solarMjPerM2.Length, nameof(solarMjPerM2));
        double pressureKPa = MoistAir.PressureKPa(ElevationM);
        double cloudiness = FirstCloudiness(firstHourEnd, solarMjPerM2);
        for (int i = 0; i < n; i++)
        {
            if (Cloudiness(firstHourEnd, i, solarMjPerM2[i]) is double known)
            {
                cloudiness = known;
            }

            destination[i] = HourMm(airC[i], vapourPressureKPa[i], windAt2MMPerS[i], solarMjPerM2[i], cloudiness, pressureKPa);
        }
    }

    /// <summary>Net radiation of one hour by the chosen standard.</summary>
    /// <param name="airC">Mean air temperature. [°C]</param>
    /// <param name="vapourPressureKPa">Mean vapour pressure. [kPa]</param>
    /// <param name="solarMjPerM2">Global radiation of the hour. [MJ/m²]</param>
    /// <param name="cloudinessFrac">Cloudiness function, see <see cref="NetRadiation.CloudinessFrac"/>. [-]</param>
    /// <returns>Net radiation. [MJ/(m² h)]; NaN where an input is NaN.</returns>
    /// <remarks>[Allen1998] eq. 38 to 40, by the hour as in ex. 19; [ASCE2005] eq. 42 to 44.</remarks>
    public double NetMjPerM2(double airC, double vapourPressureKPa, double solarMjPerM2, double cloudinessFrac)
    {
        double sigma = Method == ReferenceMethod.Fao56
            ? NetRadiation.FaoSigmaMjPerK4PerM2PerDay / 24
            : NetRadiation.AsceSigmaMjPerK4PerM2PerHour;
        return NetRadiation.NetSolarMjPerM2(solarMjPerM2)
            - NetRadiation.NetLongwaveHourlyMjPerM2(airC, vapourPressureKPa, cloudinessFrac, sigma);
    }

    private double HourMm(
        double airC,
        double vapourPressureKPa,
        double windAt2MMPerS,
        double solarMjPerM2,
        double cloudinessFrac,
        double pressureKPa)
    {
        double netMjPerM2 = NetMjPerM2(airC, vapourPressureKPa, solarMjPerM2, cloudinessFrac);
        return Method == ReferenceMethod.Fao56
            ? ReferenceEt.Fao56HourlyMm(airC, vapourPressureKPa, netMjPerM2, windAt2MMPerS, pressureKPa)
            : ReferenceEt.Asce2005HourlyMm(airC, vapourPressureKPa, netMjPerM2, windAt2MMPerS, pressureKPa);
    }

    private double FirstCloudiness(Instant firstHourEnd, ReadOnlySpan<double> solarMjPerM2)
    {
        for (int i = 0; i < solarMjPerM2.Length; i++)
        {
            if (Cloudiness(firstHourEnd, i, solarMjPerM2[i]) is double known)
            {
                return known;
            }
        }

        return double.NaN;
    }

    /// <summary>Cloudiness of an hour whose sun is high enough to tell; null when it is not or the radiation is missing.</summary>
    private double? Cloudiness(Instant firstHourEnd, int hour, double solarMjPerM2)
    {
        ZonedDateTime middle = (firstHourEnd + Duration.FromHours(hour) - Duration.FromMinutes(30)).InUtc();
        double midHourUtcH = middle.Hour + (middle.Minute / 60.0);
        int dayOfYear = middle.DayOfYear;
        double angleRad = ExtraterrestrialRadiation.SolarTimeAngleRad(midHourUtcH, LongitudeDeg, dayOfYear);
        bool high = ExtraterrestrialRadiation.SineOfAltitude(LatitudeDeg, dayOfYear, angleRad) >= LowestClearnessSine;
        if (!high || double.IsNaN(solarMjPerM2))
        {
            return null;
        }

        double aboveMjPerM2 = ExtraterrestrialRadiation.HourlyMjPerM2(LatitudeDeg, dayOfYear, angleRad);
        return NetRadiation.CloudinessFrac(solarMjPerM2 / NetRadiation.ClearSkyMjPerM2(ElevationM, aboveMjPerM2));
    }
}
