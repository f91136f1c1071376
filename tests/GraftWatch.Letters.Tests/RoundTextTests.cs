using GraftWatch.Aftercare.Advising;
using GraftWatch.Letters.Outline;
using GraftWatch.Testing;
using NodaTime;

namespace GraftWatch.Letters.Tests;

public class RoundTextTests
{
    [Fact]
    public void A_full_day_reads_as_approved() => Approved.Text("full-day", RoundText.Render(Some.Round()));

    [Fact]
    public void A_quiet_day_is_one_honest_line_and_what_it_rests_on() => Approved.Text("quiet-day", RoundText.Render(Some.QuietRound()));

    [Fact]
    public void A_round_without_weather_is_louder_than_a_quiet_day()
    {
        string text = RoundText.Render(Some.BrokenRound());

        Approved.Text("broken-day", text);
        Assert.DoesNotContain("everything was checked", text, StringComparison.Ordinal);
    }

    [Fact]
    public void Planned_graftings_stand_after_the_work_with_their_good_days()
    {
        Round round = Some.QuietRound() with { Planned = [Some.Planned(), Some.PlannedWithoutWeather()] };

        Approved.Text("planned-day", RoundText.Render(round));
        Assert.DoesNotContain("PLANNED", RoundText.Render(Some.QuietRound()), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(11, "at once")]
    [InlineData(6, "before 11:00")]
    public void Work_whose_hour_is_now_is_to_be_done_at_once(int now, string when) =>
        Assert.Contains($"   When    {when}\n", RoundText.Render(Some.Round() with { Now = Some.Local(now) }), StringComparison.Ordinal);

    [Fact]
    public void What_asks_for_no_work_has_no_hour_to_do_it() =>
        Assert.DoesNotContain("When ", RoundText.Render(Some.Round() with { Advice = [Some.Shade() with { Action = WorkAction.Know, DoBy = null }] }), StringComparison.Ordinal);

    [Fact]
    public void A_note_says_how_many_of_a_line_were_told_of_before() =>
        Assert.EndsWith("(7 unions; 12 more told before)", OutlineBuilder.Build(Some.Round() with { Advice = [Some.Shade() with { ToldUnions = 12 }] }, LetterContext.Terminal).Work[0].Facts[0].Words, StringComparison.Ordinal);

    [Fact]
    public void United_States_units_reach_every_number()
    {
        string text = RoundText.Render(Some.Round() with { Units = UnitSystem.UnitedStates });

        Assert.Contains("106 °F without, 95 °F with;", text, StringComparison.Ordinal);
        Assert.Contains("38 mph; level 31 mph", text, StringComparison.Ordinal);
        Assert.DoesNotContain("°C", text, StringComparison.Ordinal);
        Assert.DoesNotContain("km/h", text, StringComparison.Ordinal);
    }

    [Fact]
    public void No_line_is_wider_than_72_columns_whatever_the_names_are()
    {
        string wide = new('W', 300);
        Round round = Some.Round() with
        {
            Grower = wide,
            Places = [new RoundPlace(Some.Place(wide), Some.Forecast() with { Gaps = [wide, "果樹".PadRight(90, '園')] })],
            Advice = [Some.Shade() with { Text = wide, Where = wide, Grafts = [wide], Why = "果".PadRight(200, '樹') }],
        };

        foreach (string line in RoundText.Render(round).Split('\n'))
        {
            Assert.True(TextLayout.Columns(line) <= RoundText.Width, line);
        }
    }

    [Fact]
    public void Control_characters_never_reach_a_terminal()
    {
        Round round = Some.Round() with
        {
            Grower = "Mara\u001b[31m\u0007 Quill",
            Advice = [Some.Shade() with { Text = "Shade\r\nnow \u202Eesrever\u2028end", Grafts = ["B\u00002"] }],
        };

        string text = RoundText.Render(round);

        Assert.DoesNotContain(text, c => char.IsControl(c) && c != '\n');
        Assert.DoesNotContain('\u202E', text);
        Assert.Contains("URGENT: Shade now esrever end", text, StringComparison.Ordinal);
    }

    [Fact]
    public void A_hundred_like_grafts_are_one_line()
    {
        Round round = Some.Round() with
        {
            Stages = [.. Enumerable.Range(1, 100).Select(n => new GraftStage($"R-{n:000}", Aftercare.Grafts.Stage.Callus, 5, Aftercare.Grafts.Stage.Knit, null, new LocalDate(2026, 5, 20), null))],
        };

        Assert.Contains("R-001 to R-100: callus, then knit about Wed 20 May.", RoundText.Render(round), StringComparison.Ordinal);
    }

    [Fact]
    public void Only_a_letter_with_a_reply_address_says_reply_to_stop()
    {
        Assert.DoesNotContain("stop these letters", RoundText.Render(Some.Round()), StringComparison.Ordinal);
        Assert.Contains(
            "To stop these letters, reply to this one",
            RoundText.Render(Some.Round(), new LetterContext { ReplyTo = "office@example.org" }),
            StringComparison.Ordinal);
    }
}
