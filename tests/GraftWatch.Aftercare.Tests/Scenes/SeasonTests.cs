using System.Globalization;
using System.Text;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Aftercare.Tests.Scenes;

/// <summary>Forty mixed grafts through a hundred measured days: a grower must neither drown nor be surprised.</summary>
public sealed class SeasonTests
{
    // Bounds are ours: what one grower reads before breakfast. In an orchard spring most days ask for a line or two; a desert June asks for much, every day.
    [Theory]
    [InlineData("orchard-massachusetts-2015-spring.json", "America/New_York", 3.5, 7.0, 15)]
    [InlineData("desert-california-2015-summer.json", "America/Los_Angeles", 7.0, 12.0, 0)]
    public void A_grower_who_does_what_is_asked_does_not_drown(string file, string zone, double mostWorkADay, double mostLinesADay, int leastQuietDays)
    {
        (Place place, HourlyWeather hours) = MeasuredWeather.Read(file, zone);
        LocalDate first = hours.FirstHourEnd.InZone(place.Zone).Date;
        LocalDate last = hours.LastHourEnd.InZone(place.Zone).Date;
        var season = new Season(place, hours, obedient: true);
        season.Run(Season.FortyGrafts(first.PlusDays(3)), first.PlusDays(2), last.PlusDays(-10));
        Write(season, first, file);

        double days = season.Rounds.Count;
        double work = season.Rounds.Sum(round => round.Advice.Count(advice => advice.Level >= Level.Act)) / days;
        double lines = season.Rounds.Sum(round => round.Advice.Count) / days;
        int quiet = season.Rounds.Count(round => round.Advice.All(advice => advice.Level < Level.Act));
        Assert.True(days > 80);
        Assert.True(work <= mostWorkADay, $"{work:0.0} lines of work a day");
        Assert.True(lines <= mostLinesADay, $"{lines:0.0} lines a day");
        Assert.True(quiet >= leastQuietDays, $"{quiet} quiet days");
        Assert.DoesNotContain(season.Rounds.SelectMany(round => round.NotChecked), gap => gap.Why.Contains("failed", StringComparison.Ordinal));
    }

    // 24 and 25 April 2015: air frosts of -0.1 and -0.4 °C, so colder tissue. Green shoots are covered, a dormant hardy scion is left alone.
    [Fact]
    public void The_measured_frost_of_April_asks_for_covers_on_shoots_only()
    {
        (Place place, HourlyWeather hours) = MeasuredWeather.Read("orchard-massachusetts-2015-april-frost.json", "America/New_York");
        LocalDate day = new(2015, 4, 23);
        Round round = Bench.Round(
            place,
            hours,
            [Bench.Graft("shoot", day.PlusDays(-45), "pear") with { ShootM = 0.2 }, Bench.Graft("dormant", day.PlusDays(-4))],
            day);
        Advice cover = Assert.Single(round.Advice, advice => advice.Action == WorkAction.FrostCover);
        Assert.Equal(["shoot"], cover.Grafts);
        Assert.True(cover.Reasons[0].With > cover.Reasons[0].Without);
        Assert.True(cover.Reasons[0].Without < -0.4);
    }

    // 13 to 16 April 2015: 26.8 °C, then -6.0: no cover saves a green shoot, and the letter says so before it comes.
    [Fact]
    public void The_measured_freeze_of_April_is_called_hopeless_for_shoots()
    {
        (Place place, HourlyWeather hours) = MeasuredWeather.Read("basin-nevada-2015-april-freeze.json", "America/Los_Angeles");
        LocalDate day = new(2015, 4, 14);
        Round round = Bench.Round(place, hours, [Bench.Graft("shoot", day.PlusDays(-45), "pear") with { ShootM = 0.2 }], day);
        Advice frost = Assert.Single(round.Advice, advice => advice.Hazard == Hazard.Frost);
        Assert.Equal(Level.Urgent, frost.Level);
        Assert.True(frost.Reasons[0].Without < -5);
        Assert.Contains(round.NotChecked, gap => gap.Why.Contains("gave no rain", StringComparison.Ordinal));
    }

    // Desert, June 2015, over 43 °C air: foil takes ten degrees and more off a bare union and still cannot save an apple; a fig stands more.
    [Fact]
    public void The_measured_desert_heat_is_urgent_and_foil_is_shown_to_be_not_enough()
    {
        (Place place, HourlyWeather hours) = MeasuredWeather.Read("desert-california-2015-heat.json", "America/Los_Angeles");
        LocalDate day = new(2015, 6, 19);
        Round round = Bench.Round(place, hours, [Bench.Graft("bare", day.PlusDays(-12)) with { DiameterM = 0.02 }], day);
        Advice heat = Assert.Single(round.Advice, advice => advice.Hazard == Hazard.Heat);
        Assert.Equal(Level.Urgent, heat.Level);
        Assert.True(heat.Reasons[0].Without > 45);
        Assert.True(heat.Reasons[0].With < heat.Reasons[0].Without - 5);
        Assert.True(heat.Reasons[0].With > 40);
    }

    // For reading: set GRAFTWATCH_SEASON_TEXT to a folder.
    private static void Write(Season season, LocalDate first, string file)
    {
        if (Environment.GetEnvironmentVariable("GRAFTWATCH_SEASON_TEXT") is not { Length: > 0 } folder)
        {
            return;
        }

        var text = new StringBuilder();
        foreach (IGrouping<int, Round> week in season.Rounds.GroupBy(round => Period.DaysBetween(first, round.Date) / 7))
        {
            Advice[] lines = [.. week.SelectMany(round => round.Advice)];
            string kinds = string.Join(' ', lines.Where(a => a.Level >= Level.Act).GroupBy(a => $"{a.Action}/{a.Hazard}").OrderByDescending(g => g.Count()).Select(g => $"{g.Key}:{g.Count()}"));
            text.AppendLine(CultureInfo.InvariantCulture, $"week {week.Key}: lines a day {(double)lines.Length / week.Count():0.0}, urgent {lines.Count(a => a.Level == Level.Urgent)}, act {lines.Count(a => a.Level == Level.Act)}, note {lines.Count(a => a.Level == Level.Note)}, quiet days {week.Count(r => r.Advice.All(a => a.Level < Level.Act))}; {kinds}");
        }

        foreach (Round round in season.Rounds)
        {
            text.AppendLine().AppendLine(CultureInfo.InvariantCulture, $"== {round.Date}");
            foreach (Advice advice in round.Advice)
            {
                text.AppendLine(CultureInfo.InvariantCulture, $"{advice.Level} {advice.Text} [{string.Join(' ', advice.Grafts)}]");
            }
        }

        File.WriteAllText(Path.Combine(folder, "season-" + file + ".txt"), text.ToString());
    }
}
