using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Letters.Wording;
using GraftWatch.Testing;
using NodaTime;

namespace GraftWatch.Letters.Tests;

/// <summary>Small things that decide whether a letter is read with trust at six in the morning.</summary>
public class PlainReadingTests
{
    [Theory]
    [InlineData("Shade with 70 % shade cloth", "Shade with 70\u00A0% shade cloth")]
    [InlineData("reach 38 °C at 15:00, 61 km/h", "reach 38\u00A0°C at 15:00, 61\u00A0km/h")]
    [InlineData("bring 12 × foil sleeve", "bring 12\u00A0× foil sleeve")]
    [InlineData("row 2 mounds, 7 hours", "row 2 mounds, 7 hours")]
    [InlineData("", "")]
    [InlineData("8 h", "8\u00A0h")]
    public void A_number_is_held_to_its_unit_and_to_nothing_else(string sentence, string held) => Assert.Equal(held, Numbers.Hold(sentence));

    [Fact]
    public void No_line_ends_between_a_number_and_its_unit()
    {
        for (int pad = 0; pad < 80; pad++)
        {
            Round round = Some.Round() with { Advice = [Some.Shade() with { Text = new string('a', pad) + " under 70 % shade cloth at 38 °C." }] };
            Assert.DoesNotMatch(@"\d\n\s*(%|°C)", RoundText.Render(round));
        }
    }

    // 32 °F is 0 °C by definition; −3.2 °C is 26.24 °F.
    [Fact]
    public void Frost_keeps_a_decimal_in_fahrenheit_and_heat_does_not()
    {
        Assert.Equal("26.2\u00A0°F", Numbers.Format(-3.2, "°C", UnitSystem.UnitedStates, fine: true));
        Assert.Equal("106\u00A0°F", Numbers.Format(41.24, "°C", UnitSystem.UnitedStates));
        Advice frost = Some.Shade() with { Hazard = Hazard.Frost, Reasons = [new("bud temperature", "°C", Some.Shade().DoBy!.Value, -3.2, -1.6, -2, Level.Urgent)] };
        string text = RoundText.Render(Some.Round() with { Units = UnitSystem.UnitedStates, Advice = [frost] });
        Assert.Contains("26.2 °F without, 29.1 °F with;", text, StringComparison.Ordinal);
        Assert.Contains("28.4 °F (urgent)", text, StringComparison.Ordinal);
    }

    [Fact]
    public void A_level_names_its_step()
    {
        Reason reason = Some.Shade().Reasons[0] with { Step = Level.Act };
        Assert.Contains("level 38.0 °C (work).", RoundText.Render(Some.Round() with { Advice = [Some.Shade() with { Reasons = [reason] }] }), StringComparison.Ordinal);
    }

    [Fact]
    public void Values_far_from_harm_are_named_without_their_numbers()
    {
        Instant at = Some.Shade().DoBy!.Value;
        string text = RoundText.Render(Some.QuietRound() with
        {
            Fine =
            [
                new FineHazard(Hazard.Frost, "scion temperature", "°C", 24.4, "B2-01", at),
                new FineHazard(Hazard.Wet, "rain in 24 hours", "mm", 0, "B2-01", at),
                new FineHazard(Hazard.Heat, "cambium temperature", "°C", 30.1, "B2-01", at),
            ],
        });
        Assert.DoesNotContain("24.4", text, StringComparison.Ordinal);
        Assert.DoesNotContain("0.0 mm", text, StringComparison.Ordinal);
        Assert.Contains("- Nowhere near harm: frost, wet.", text, StringComparison.Ordinal);
        Assert.Contains("- Heat: worst cambium temperature 30.1 °C", text, StringComparison.Ordinal);
    }

    [Fact]
    public void Dates_of_another_year_carry_it()
    {
        LocalDate winter = new(2027, 1, 2);
        Round round = Some.Round() with { Stages = [new GraftStage("B-1", Stage.Run, 40, Stage.Ripen, new(2026, 12, 20), winter, winter.PlusDays(9))] };
        Assert.Contains("about Sat 2 Jan 2027 (20 Dec to 11 Jan 2027).", RoundText.Render(round).Replace("\n  ", " ", StringComparison.Ordinal), StringComparison.Ordinal);
    }

    [Fact]
    public void More_urgent_work_than_time_says_what_to_begin_with()
    {
        Advice mild = Some.Shade() with { Id = "mild", Minutes = 400, Reasons = [Some.Shade().Reasons[0] with { Without = 39 }] };
        Advice severe = Some.Shade() with { Id = "severe", Minutes = 90, Reasons = [Some.Shade().Reasons[0] with { Without = 47 }] };
        string late = RoundText.Render(Some.Round() with { Advice = [mild, severe] }).Replace('\n', ' ');
        Assert.Contains("begin with 2, which is furthest past its level", late, StringComparison.Ordinal);

        string inTime = RoundText.Render(Some.Round() with { Advice = [mild with { Minutes = 10 }, severe with { Minutes = 10 }] });
        Assert.DoesNotContain("begin with", inTime, StringComparison.Ordinal);
    }
}
