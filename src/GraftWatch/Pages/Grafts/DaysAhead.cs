using System.Globalization;
using GraftWatch.Aftercare.Explaining;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Explaining;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Pages.Language;
using GraftWatch.Pages.Routing;
using NodaTime;

namespace GraftWatch.Pages.Grafts;

/// <summary>The days ahead at one union, as a picture and in a sentence.</summary>
internal static class DaysAhead
{
    private const int Days = 5;

    /// <summary>The picture; null when no hour of today or later is known.</summary>
    internal static HoursPicture? Of(PageContext page, OneGraft one)
    {
        if (one is not { Hours: { } hours, Reasons: { } reasons })
        {
            return null;
        }

        var days = new Days(page.Language, hours.Place.Zone);
        LocalDate today = days.Of(one.Request.Now);
        Instant from = hours.Place.Zone.AtStartOfDay(today).ToInstant();
        Instant to = hours.Place.Zone.AtStartOfDay(today.PlusDays(Days)).ToInstant();
        int[] shown = [.. Enumerable.Range(0, hours.Hours).Where(hour => hours.EndOf(hour) > from && hours.EndOf(hour) <= to)];
        if (shown.Length < 6)
        {
            return null;
        }

        double[] cambiumC = [.. shown.Select(hour => hours.Union.CambiumC[hour])];
        double gust = one.Request.Handbook.Thresholds.Number("wind.gust.act", SubjectOf(one));
        bool[] frosts = [.. shown.Select(hour => hours.Union.BudC[hour] < 0)];
        bool[] gusts = [.. shown.Select(hour => hours.GustMPerS[hour] >= gust)];
        double levelC = reasons.Outlook?.HeatLevelC ?? double.NaN;
        return new HoursPicture
        {
            Title = page.Say("picture.title", one.Graft.Label),
            Description = Describe(page, days, hours, shown, cambiumC, frosts, gusts, levelC),
            Width = 400,
            TemperatureHeight = 170,
            Ends = [.. shown.Select(hours.EndOf)],
            Zone = hours.Place.Zone,
            Now = one.Request.Now,
            Lines = [.. Lines(page, one, hours, reasons, shown, cambiumC)],
            Levels =
            [
                new PictureLevel("act", page.Say("picture.level", page.Figures.Temperature(levelC, 0)), levelC, IsAlwaysShown: true),
                new PictureLevel("zero", page.Say("picture.freezing", page.Figures.Temperature(0, 0)), 0),
            ],
            SkyWPerM2 = [.. shown.Select(hour => hours.Union.DiffuseOnUnionWPerM2[hour])],
            BeamWPerM2 = [.. shown.Select(hour => hours.Union.BeamOnUnionWPerM2[hour])],
            LoadFrac = ExplainPicture.LoadOf(hours, shown),
            Bands =
            [
                new PictureBand("frost", page.Count("picture.frost", frosts.Count(hit => hit)), frosts),
                new PictureBand("gust", page.Count("picture.gust", gusts.Count(hit => hit), page.Figures.Wind(gust)), gusts),
            ],
            Words = new PictureWords(
                celsius => page.Figures.Temperature(celsius, 0),
                date => string.Create(CultureInfo.InvariantCulture, $"{days.Short(date)[..(page.Language == PageLanguage.German ? 2 : 3)]} {date.Day}"),
                page.Say("picture.sun"),
                page.Say("picture.load"),
                page.Say("picture.ahead"),
                page.Say("picture.nothing")),
        };
    }

    private static IEnumerable<PictureLine> Lines(PageContext page, OneGraft one, GraftHours hours, GraftReasons reasons, int[] shown, double[] cambiumC)
    {
        yield return new PictureLine("air", page.Say("picture.air"), [.. shown.Select(hour => hours.Weather[WeatherQuantity.AirC][hour])]);
        if (one.Bare is { } bare)
        {
            yield return new PictureLine("cambium", page.Say("picture.without-cover"), [.. shown.Select(hour => bare.Union.CambiumC[hour])]);
            yield return new PictureLine("with", page.Say("picture.with-cover", reasons.Now.Cover), cambiumC);
            yield break;
        }

        yield return new PictureLine("cambium", page.Say("picture.cambium"), cambiumC);
        if (reasons.Outlook is { WithC.Count: > 0 } outlook)
        {
            Dictionary<Instant, double> with = outlook.At.Zip(outlook.WithC).ToDictionary(pair => pair.First, pair => pair.Second);
            string remedy = outlook.Remedy.Length > 0 ? outlook.Remedy : page.Say("picture.the-work");
            yield return new PictureLine("with", page.Say("picture.with-remedy", remedy), [.. shown.Select(hour => with.GetValueOrDefault(hours.EndOf(hour), double.NaN))]);
        }
    }

    private static string Describe(PageContext page, Days days, GraftHours hours, int[] shown, double[] cambiumC, bool[] frosts, bool[] gusts, double levelC)
    {
        int[] known = [.. Enumerable.Range(0, shown.Length).Where(i => double.IsFinite(cambiumC[i]))];
        if (known.Length == 0)
        {
            return page.Say("picture.nothing");
        }

        int warmest = known.MaxBy(i => cambiumC[i]);
        int coldest = known.MinBy(i => cambiumC[i]);
        string words = page.Say(
            "picture.described",
            page.Figures.Temperature(cambiumC[warmest]), days.At(hours.EndOf(shown[warmest])), page.Figures.Temperature(cambiumC[coldest]), days.At(hours.EndOf(shown[coldest])));
        string frost = page.Count("picture.described-frost", frosts.Count(hit => hit));
        string gust = page.Count("picture.described-gusts", gusts.Count(hit => hit));
        string[] sentences = double.IsFinite(levelC) ? [words, page.Say("picture.described-level", page.Figures.Temperature(levelC, 0)), frost, gust] : [words, frost, gust];
        return string.Join(' ', sentences);
    }

    private static Subject SubjectOf(OneGraft one) =>
        new(one.Graft.Species, one.Graft.Technique, one.Reasons!.Stage.Stage, one.Reasons.Now.Cover, one.Reasons.Now.Tie, one.Graft.Place);
}
