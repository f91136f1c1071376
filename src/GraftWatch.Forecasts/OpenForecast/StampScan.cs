using NodaTime;

namespace GraftWatch.Forecasts.OpenForecast;

/// <summary>Reads ISO stamps as the API writes them: <c>2026-04-22T02:00</c>, local to the reply's one UTC offset; seconds and a final Z are accepted.</summary>
internal static class StampScan
{
    /// <summary>Reads one stamp.</summary>
    /// <param name="text">The characters between the quotes.</param>
    /// <param name="secondsFromEpoch">Seconds since 1970 as if the stamp were UTC.</param>
    /// <param name="isUtc">Whether it ends in Z, so that no offset applies.</param>
    public static bool TryRead(ReadOnlySpan<byte> text, out long secondsFromEpoch, out bool isUtc)
    {
        secondsFromEpoch = 0;
        isUtc = text.Length > 0 && text[^1] == (byte)'Z';
        text = isUtc ? text[..^1] : text;
        if (text.Length is not (16 or 19)
            || text[4] != '-' || text[7] != '-' || text[10] != 'T' || text[13] != ':'
            || (text.Length == 19 && text[16] != ':'))
        {
            return false;
        }

        int year = Number(text[..4]), month = Number(text[5..7]), day = Number(text[8..10]);
        int hour = Number(text[11..13]), minute = Number(text[14..16]), second = text.Length == 19 ? Number(text[17..]) : 0;
        if (year < 1 || month is < 1 or > 12 || day < 1 || day > CalendarSystem.Iso.GetDaysInMonth(year, month)
            || hour is < 0 or > 23 || minute is < 0 or > 59 || second is < 0 or > 59)
        {
            return false;
        }

        long days = new LocalDate(year, month, day).ToDaysSinceUnixEpoch();
        secondsFromEpoch = (days * NodaConstants.SecondsPerDay) + (hour * 3600) + (minute * 60) + second;
        return true;
    }

    private static int Number(ReadOnlySpan<byte> digits)
    {
        int value = 0;
        foreach (byte digit in digits)
        {
            if (digit is < (byte)'0' or > (byte)'9')
            {
                return -1;
            }

            value = (value * 10) + (digit - '0');
        }

        return value;
    }

    private static long ToDaysSinceUnixEpoch(this LocalDate date) =>
        Period.DaysBetween(new LocalDate(1970, 1, 1), date);
}
