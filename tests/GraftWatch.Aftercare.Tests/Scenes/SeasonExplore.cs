using System.Globalization;
using System.Text;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Aftercare.Tests.Scenes;

public sealed class SeasonExplore
{
    [Theory]
    [InlineData("orchard-massachusetts-2015-spring.json", "America/New_York", true)]
    [InlineData("orchard-massachusetts-2015-spring.json", "America/New_York", false)]
    [InlineData("desert-california-2015-summer.json", "America/Los_Angeles", true)]
    [InlineData("basin-nevada-2015-spring.json", "America/Los_Angeles", true)]
    public void Run(string file, string zone, bool obedient)
    {
        (Place place, HourlyWeather hours) = MeasuredWeather.Read(file, zone);
        LocalDate first = hours.FirstHourEnd.InZone(place.Zone).Date;
        LocalDate last = hours.LastHourEnd.InZone(place.Zone).Date;
        var season = new Season(place, hours, obedient);
        season.Run(Season.FortyGrafts(first.PlusDays(3)), first.PlusDays(2), last.PlusDays(-10));
        var text = new StringBuilder();
        foreach (var week in season.Rounds.GroupBy(round => Period.DaysBetween(first, round.Date) / 7))
        {
            Advice[] lines = [.. week.SelectMany(round => round.Advice)];
            string kinds = string.Join(" ", lines.Where(a => a.Level >= Level.Act).GroupBy(a => a.Hazard is { } h ? $"{a.Action}/{h}" : a.Action.ToString()).OrderByDescending(g => g.Count()).Select(g => $"{g.Key}:{g.Count()}"));
            text.AppendLine(CultureInfo.InvariantCulture, $"week {week.Key} {week.First().Date}: lines/day {(double)lines.Length / week.Count():0.0}, urgent {lines.Count(a => a.Level == Level.Urgent)}, act {lines.Count(a => a.Level == Level.Act)}, note {lines.Count(a => a.Level == Level.Note)}, quiet days {week.Count(r => r.Advice.All(a => a.Level < Level.Act))}; {kinds}");
        }

        text.AppendLine();
        foreach (Round round in season.Rounds)
        {
            text.AppendLine(CultureInfo.InvariantCulture, $"== {round.Date}");
            foreach (Advice advice in round.Advice)
            {
                text.AppendLine(CultureInfo.InvariantCulture, $"{advice.Level} {advice.Text} [{string.Join(' ', advice.Grafts)}]");
            }

            foreach (var gap in round.NotChecked.GroupBy(n => (n.Hazard, n.Why)))
            {
                text.AppendLine(CultureInfo.InvariantCulture, $"  not checked {gap.Key.Hazard} x{gap.Count()}: {gap.Key.Why}");
            }
        }

        File.WriteAllText(Path.Combine(Path.GetTempPath(), $"gw-season-{file}-{(obedient ? "obeys" : "silent")}.txt"), text.ToString());
        Assert.NotEmpty(season.Rounds);
    }
}
