using System.Globalization;
using System.Text.RegularExpressions;
using GraftWatch.Explaining;
using NodaTime;

namespace GraftWatch.EndToEnd.Tests.Explaining;

public sealed partial class HoursPictureTests
{
    private const int Hours = 120;
    private const string Words = "freezing 0 °C";

    // A spring wave around the freezing point, as on a graft's page: at the right end the curve runs through the level.
    [Theory]
    [InlineData(400, 0.0)]
    [InlineData(400, 1.6)]
    [InlineData(400, 3.1)]
    [InlineData(900, 0.0)]
    [InlineData(900, 4.0)]
    public void The_words_of_a_level_keep_clear_of_the_curves_where_there_is_room(double width, double phase)
    {
        double[] valuesC = [.. Enumerable.Range(0, Hours).Select(hour => (hour < 48 ? 14 : 3) + (5 * Math.Sin((hour * Math.PI / 12) + phase)))];
        string svg = Picture(width, valuesC);
        (double x, double y) = SpotOf(svg);
        (double X, double Y)[] curve = [.. Curve().Match(svg).Groups[1].Value.Split('L').Select(point => point.Split(' ')).Select(pair => (Number(pair[0]), Number(pair[1])))];
        Assert.Equal(Hours, curve.Length);
        Assert.DoesNotContain(curve, point => point.X >= x && point.X <= x + (6 * Words.Length) && point.Y >= y - 10 && point.Y <= y + 2);
        Assert.InRange(x, 46, width - 10 - (6 * Words.Length));
    }

    [Fact]
    public void Where_the_curves_leave_no_room_the_words_stand_inside_the_picture_all_the_same()
    {
        double[] valuesC = [.. Enumerable.Range(0, Hours).Select(hour => hour % 2 == 0 ? -6.0 : 6.0)];
        Assert.InRange(SpotOf(Picture(400, valuesC)).X, 46, 390 - (6 * Words.Length));
    }

    private static string Picture(double width, double[] valuesC)
    {
        var from = Instant.FromUtc(2026, 3, 20, 0, 0);
        return new HoursPicture
        {
            Title = "A1-01",
            Description = "Five days.",
            Width = width,
            Ends = [.. Enumerable.Range(1, valuesC.Length).Select(hour => from + Duration.FromHours(hour))],
            Zone = DateTimeZone.Utc,
            Now = from,
            Lines = [new PictureLine("cambium", "cambium", valuesC)],
            Levels = [new PictureLevel("zero", Words, 0)],
            Words = new PictureWords(celsius => celsius.ToString("0", CultureInfo.InvariantCulture), date => date.Day.ToString(CultureInfo.InvariantCulture), "sun", "load", "ahead", "nothing"),
        }.Svg();
    }

    private static (double X, double Y) SpotOf(string svg)
    {
        Match words = LevelWords().Match(svg);
        Assert.True(words.Success, svg);
        return (Number(words.Groups[1].Value), Number(words.Groups[2].Value));
    }

    private static double Number(string text) => double.Parse(text, CultureInfo.InvariantCulture);

    [GeneratedRegex("<text class=\"soft\" x=\"([0-9.]+)\" y=\"([0-9.]+)\">freezing 0 °C</text>")]
    private static partial Regex LevelWords();

    [GeneratedRegex("class=\"line cambium\" d=\"M([0-9. L]+)\"/>\n")]
    private static partial Regex Curve();
}
