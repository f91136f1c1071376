namespace GraftWatch.Microclimate.Soil;

/// <summary>Sums and bridges over hours for <see cref="RootZoneHours"/>.</summary>
internal static class RootZoneSteps
{
    /// <summary>Energy of one watt over an hour. [MJ/(W h)], exact.</summary>
    internal const double MjPerWattHour = 0.0036;

    /// <summary>Sums the hours that end at each stamp.</summary>
    /// <param name="values">Hourly values; NaN makes every window that holds it NaN.</param>
    /// <param name="window">Hours in the window. [-], at least 1.</param>
    /// <param name="wholeWindow">Whether hours before the window is full take the first full window (NaN where there is none) instead of the sum so far.</param>
    /// <param name="destination">Receives the sums; same length.</param>
    internal static void SumBefore(ReadOnlySpan<double> values, int window, bool wholeWindow, Span<double> destination)
    {
        double sum = 0;
        int unknown = 0;
        for (int i = 0; i < values.Length; i++)
        {
            Count(values[i], 1, ref sum, ref unknown);
            if (i >= window)
            {
                Count(values[i - window], -1, ref sum, ref unknown);
            }

            destination[i] = unknown > 0 ? double.NaN : sum;
        }

        if (wholeWindow)
        {
            int full = window - 1;
            destination[..Math.Min(full, values.Length)].Fill(values.Length >= window ? destination[full] : double.NaN);
        }
    }

    /// <summary>Bridges short gaps for the water balance; longer ones stay NaN.</summary>
    /// <param name="etMm">Hourly evapotranspiration. [mm]</param>
    /// <param name="rainMm">Hourly rain. [mm]</param>
    /// <param name="etFilled">Receives evapotranspiration, gaps up to the longest bridge taken from 24 h before. [mm]</param>
    /// <param name="rainFilled">Receives rain, gaps up to the longest bridge taken as none. [mm]</param>
    /// <returns>Hours in which something was bridged. [-]</returns>
    internal static int Bridge(ReadOnlySpan<double> etMm, ReadOnlySpan<double> rainMm, Span<double> etFilled, out double[] rainFilled)
    {
        rainFilled = rainMm.ToArray();
        etMm.CopyTo(etFilled);
        int bridged = 0;
        int etGapEnd = 0;
        int rainGapEnd = 0;
        for (int i = 0; i < etMm.Length; i++)
        {
            bool any = false;
            if (ShortGapAt(etMm, i, ref etGapEnd) && i >= 24 && !double.IsNaN(etFilled[i - 24]))
            {
                etFilled[i] = etFilled[i - 24];
                any = true;
            }

            if (ShortGapAt(rainMm, i, ref rainGapEnd))
            {
                rainFilled[i] = 0;
                any = true;
            }

            bridged += any ? 1 : 0;
        }

        return bridged;
    }

    /// <summary>Mean of the up to 24 hours that end at an hour, for the daily rate of use.</summary>
    /// <param name="values">Hourly values.</param>
    /// <param name="hour">Index of the last hour. [-]</param>
    internal static double DailyMean(ReadOnlySpan<double> values, int hour)
    {
        int from = Math.Max(hour - 23, 0);
        double sum = 0;
        int known = 0;
        foreach (double value in values[from..(hour + 1)])
        {
            if (!double.IsNaN(value))
            {
                sum += value;
                known++;
            }
        }

        return sum / known;
    }

    /// <summary>Whether an hour lies in a gap no longer than the longest bridge; remembers where the gap ends.</summary>
    private static bool ShortGapAt(ReadOnlySpan<double> values, int hour, ref int gapEnd)
    {
        if (!double.IsNaN(values[hour]))
        {
            return false;
        }

        if (hour >= gapEnd)
        {
            gapEnd = hour;
            while (gapEnd < values.Length && double.IsNaN(values[gapEnd]))
            {
                gapEnd++;
            }
        }

        int start = hour;
        while (start > 0 && gapEnd - start <= RootZoneHours.LongestBridgeHours && double.IsNaN(values[start - 1]))
        {
            start--;
        }

        return gapEnd - start <= RootZoneHours.LongestBridgeHours;
    }

    private static void Count(double value, int sign, ref double sum, ref int unknown)
    {
        if (double.IsNaN(value))
        {
            unknown += sign;
        }
        else
        {
            sum += sign * value;
        }
    }
}
