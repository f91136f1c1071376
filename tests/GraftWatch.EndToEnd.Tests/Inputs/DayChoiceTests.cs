using GraftWatch.Inputs;
using GraftWatch.Microclimate.Weather;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.EndToEnd.Tests.Inputs;

public sealed class DayChoiceTests
{
    private static readonly DateTimeZone Boston = DateTimeZone.ForOffset(Offset.FromHours(-5));
    private static readonly LocalTime Letter = new(5, 30);

    [Fact]
    public void Today_is_taken_where_the_file_covers_it()
    {
        DayChoice? choice = Choose(null, "2026-05-09T12:00:00Z", out _);
        Assert.Equal(new LocalDate(2026, 5, 9), choice!.Date);
        Assert.Equal("2026-05-09T10:30:00Z", InstantPattern.General.Format(choice.Now));
        Assert.Empty(choice.Note);
    }

    [Fact]
    public void Otherwise_the_first_whole_local_day_is_taken_and_said()
    {
        DayChoice? choice = Choose(null, "2027-01-01T12:00:00Z", out _);
        Assert.Equal(new LocalDate(2026, 5, 5), choice!.Date);
        Assert.Contains("--date", choice.Note, StringComparison.Ordinal);
    }

    [Fact]
    public void A_named_day_outside_the_file_is_a_fault_that_says_what_there_is()
    {
        Assert.Null(Choose(new LocalDate(2026, 6, 1), "2027-01-01T12:00:00Z", out string fault));
        Assert.Contains("2026-05-04 to 2026-05-14", fault, StringComparison.Ordinal);
    }

    [Fact]
    public void A_named_day_in_the_middle_counts_ten_days_after_it_as_forecast()
    {
        DayChoice? choice = Choose(new LocalDate(2026, 5, 6), "2027-01-01T12:00:00Z", out _);
        Assert.Equal("2026-05-17T05:00:00Z", InstantPattern.General.Format(choice!.LastHourEnd(Boston)));
    }

    [Fact]
    public void A_file_without_a_whole_day_is_a_fault()
    {
        var builder = new HourlyWeather.Builder(InstantPattern.General.Parse("2026-05-05T12:00:00Z").Value, 12);
        Assert.Null(DayChoice.Choose(null, builder.Build(), Boston, Letter, InstantPattern.General.Parse("2027-01-01T00:00:00Z").Value, "short.json", preferLast: false, out string fault));
        Assert.StartsWith("short.json has no whole day", fault, StringComparison.Ordinal);
    }

    // Ten days of UTC, from 5 May 00:00 to 14 May 23:00: in Boston the first stamps still belong to 4 May.
    private static DayChoice? Choose(LocalDate? wanted, string clock, out string fault)
    {
        var builder = new HourlyWeather.Builder(InstantPattern.General.Parse("2026-05-05T00:00:00Z").Value, 240);
        return DayChoice.Choose(wanted, builder.Build(), Boston, Letter, InstantPattern.General.Parse(clock).Value, "file.json", preferLast: false, out fault);
    }
}
