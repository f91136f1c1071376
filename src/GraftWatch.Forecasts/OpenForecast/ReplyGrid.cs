using System.Globalization;
using GraftWatch.Forecasts.Quality;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Forecasts.OpenForecast;

/// <summary>Turns one location's columns into hours on an unbroken UTC grid.</summary>
internal static class ReplyGrid
{
    private const double EarliestSeconds = -2_208_988_800; // 1900-01-01
    private const double LatestSeconds = 7_258_118_400; // 2200-01-01

    public static ReplyLocation Build(ReplyDraft draft, int index, ReplyReading reading)
    {
        List<string> faults = Faults(draft);
        long firstHour = 0;
        int[] hours = [];
        if (faults.Count == 0)
        {
            hours = ReadHours(draft, reading, faults, out firstHour);
        }

        var gaps = new GapNotes();
        HourlyWeather? weather = null;
        List<HourlyWeather> members = [];
        if (faults.Count == 0)
        {
            var filler = new GridFill(draft, reading, Instant.FromUnixTimeSeconds(firstHour * 3600), hours);
            weather = filler.Fill(0, gaps);
            if (!QuantityWords.All.Any(weather.Has))
            {
                faults.Add("has no weather: every value is missing; this place may lie outside the model, or the server had no data, so fetch it again or choose another model");
                weather = null;
            }
            else
            {
                members.AddRange(draft.Slots.Where(s => s.Values is not null).Select(s => s.Member).Where(m => m > 0).Distinct().Order()
                    .Select(m => filler.Fill(m, notes: null)));
                gaps.AddLeftOutHours(weather, hours);
            }
        }

        string who = index == 0 ? reading.Name : $"{reading.Name}, location {index + 1},";
        return new ReplyLocation
        {
            Index = index,
            LatitudeDeg = Known(draft.LatitudeDeg),
            LongitudeDeg = Known(draft.LongitudeDeg),
            ElevationM = Known(draft.ElevationM),
            TimeZone = draft.TimeZone,
            Weather = weather,
            Members = members,
            Gaps = weather is null ? [] : gaps.Sentences(weather),
            Faults = [.. faults.Select(f => $"{who} {f}.")],
        };
    }

    private static double? Known(double value) => double.IsFinite(value) ? value : null;

    private static List<string> Faults(ReplyDraft draft)
    {
        if (draft.Refused || (draft.Reason is not null && !draft.HasHourly))
        {
            return [$"is a refusal of the server: \"{draft.Reason ?? "no reason given"}\"; mend the request and fetch it again"];
        }

        if (!draft.HasHourly)
        {
            return ["has no block \"hourly\"; ask the forecast endpoint with hourly=temperature_2m and the other columns"];
        }

        var faults = new List<string>(draft.Faults);
        if (Math.Abs(draft.LatitudeDeg) > 90 || Math.Abs(draft.LongitudeDeg) > 180)
        {
            faults.Add(string.Create(CultureInfo.InvariantCulture, $"has the coordinates {draft.LatitudeDeg}, {draft.LongitudeDeg}, which are not on Earth"));
        }

        if (draft.Faults.Count > 0)
        {
            return faults;
        }

        if (draft.Times is null or { Count: 0 })
        {
            faults.Add(draft.Times is null ? "has no column time in its block \"hourly\"" : "holds no hours at all; ask for some days");
        }
        else
        {
            int expected = draft.Times.Count;
            faults.AddRange(draft.Slots.Where(s => s.Values is not null && s.Values.Count != expected)
                .Select(s => $"has {s.Values!.Count} values in the column {ReplyColumns.All[s.Column].Name} but {expected} time stamps; fetch it again"));
            if (!draft.Slots.Any(s => s.Values is not null && s.Member == 0))
            {
                faults.Add(draft.Suffixed is { } example
                    ? $"holds no plain columns but ones such as {example}, of several models side by side; ask for one model"
                    : "has none of the columns I know in its block \"hourly\"; ask with hourly=temperature_2m and the other columns");
            }
        }

        return faults;
    }

    /// <summary>Index on the grid of each time stamp.</summary>
    private static int[] ReadHours(ReplyDraft draft, ReplyReading reading, List<string> faults, out long firstHour)
    {
        ReadOnlySpan<double> times = draft.Times!.Values;
        double offset = draft.TimesAreLocal ? draft.OffsetSeconds : 0;
        var hours = new int[times.Length];
        firstHour = 0;
        double before = double.NegativeInfinity;
        for (int i = 0; i < times.Length; i++)
        {
            double seconds = times[i] - offset;
            if (!(seconds >= EarliestSeconds && seconds <= LatestSeconds) || seconds != Math.Floor(seconds))
            {
                faults.Add($"has a time stamp that is no whole second between the years 1900 and 2200 (entry {i + 1})");
                return [];
            }

            if (seconds <= before)
            {
                string stamp = Stamp(seconds);
                faults.Add(seconds == before
                    ? $"has the hour {stamp} twice (entry {i + 1} of time); fetch it again"
                    : $"has hours out of order: {stamp} comes after {Stamp(before)} (entry {i + 1} of time); fetch it again");
                return [];
            }

            if (seconds % 3600 != 0)
            {
                faults.Add($"has the time stamp {Stamp(seconds)}, which is no whole UTC hour; ask with timezone=GMT and hourly steps");
                return [];
            }

            long hour = (long)(seconds / 3600);
            firstHour = i == 0 ? hour : firstHour;
            if (hour - firstHour >= Math.Min(reading.MostHours, (24L * times.Length) + 240))
            {
                faults.Add($"jumps from {Stamp(before)} to {Stamp(seconds)}, leaving out most of its hours (entry {i + 1} of time); fetch it again");
                return [];
            }

            hours[i] = (int)(hour - firstHour);
            before = seconds;
        }

        return hours;
    }

    private static string Stamp(double seconds) => QuantityWords.Stamp(Instant.FromUnixTimeSeconds((long)seconds));
}
