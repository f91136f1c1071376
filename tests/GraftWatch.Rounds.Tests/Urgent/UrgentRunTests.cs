using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Tests.Scenes;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Rounds.Pipeline;
using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Tests.Fakes;
using GraftWatch.Rounds.Urgent;
using Microsoft.Extensions.Logging.Abstractions;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Rounds.Tests.Urgent;

/// <summary>Looks between two letters, with real rounds of invented hours.</summary>
public sealed class UrgentRunTests
{
    private const string Known = "hours, register and answers are those of the last look";
    private static readonly LocalDate May = new(2026, 5, 15);
    private static readonly UrgentWishes Night = new(HoldFrom: new LocalTime(21, 0), HoldUntil: new LocalTime(6, 0));
    private static readonly SceneDay OtherDay = new() { HighC = 20 };
    private readonly UrgentRig rig = new(May);

    [Fact]
    public async Task What_crosses_its_level_after_the_letter_is_written_once_and_alone()
    {
        await rig.LetterAsync(rig.At(5, 30));
        Assert.Equal("nothing new is urgent", (await NothingAsync(rig.At(6))).Why);
        await rig.TurnsAsync(rig.At(6, 30), (0, UrgentRig.HotDay));
        SealedLetter note = (await SealedAsync(rig.At(6, 30))).Letters[0];

        Assert.Equal(new LetterSlot(rig.Grower.Name, May, LetterKind.Urgent), note.Slot);
        Assert.Equal(2, note.Number);
        Round said = rig.Composed[^1];
        Assert.All(said.Advice, advice => Assert.Equal(Level.Urgent, advice.Level));
        Assert.Empty(said.Stages);
        Assert.Equal(said.Advice.Max(advice => advice.DoBy), note.UsefulUntil);

        Assert.Equal(Known, (await NothingAsync(rig.At(6, 45))).Why);
        rig.NewRun();
        Assert.Equal("nothing new is urgent", (await NothingAsync(rig.At(7))).Why);
        Assert.Single(rig.Notes);
    }

    [Fact]
    public async Task Before_the_letter_of_the_day_nothing_is_written_however_urgent_it_is()
    {
        await rig.TurnsAsync(rig.At(5), (0, UrgentRig.HotDay));
        Assert.Equal("the day's letter will say it", (await NothingAsync(rig.At(5, 29))).Why);
        Assert.Equal("the day's letter will say it", (await NothingAsync(rig.At(5, 31))).Why);
        Assert.Empty(rig.Ledger.Entries);
    }

    [Fact]
    public async Task What_the_letter_said_is_in_no_note_also_where_the_forecast_grows_worse()
    {
        var cold = new UrgentRig(May, leafed: true);
        await cold.TurnsAsync(cold.At(5), (1, UrgentRig.FrostNight));
        await cold.LetterAsync(cold.At(5, 30));
        Assert.Contains(cold.Composed[0].Advice, advice => advice is { Level: Level.Urgent, Hazard: Hazard.Frost });
        for (int later = 0; later < 3; later++)
        {
            await cold.TurnsAsync(cold.At(6 + later), (1, UrgentRig.FrostNight with { LowC = -7 - later }));
            Assert.Equal("nothing new is urgent", Assert.IsType<UrgentOutcome.Nothing>(await cold.LookAsync(cold.At(6 + later))).Why);
        }

        Assert.Empty(cold.Notes);
    }

    [Fact]
    public async Task Grafts_entered_after_the_letter_are_warned_of_the_frost_that_is_known_already()
    {
        await rig.TurnsAsync(rig.At(5), (1, UrgentRig.FrostNight));
        await rig.LetterAsync(rig.At(5, 30));
        Assert.IsType<UrgentOutcome.Nothing>(await rig.LookAsync(rig.At(15, 45)));
        Assert.Equal(Known, (await NothingAsync(rig.At(15, 50))).Why);
        rig.AddGraft("B", leafed: true);
        await SealedAsync(rig.At(16));
        Assert.All(rig.Composed[^1].Advice, advice => Assert.Equal((Hazard.Frost, "B"), (advice.Hazard, Assert.Single(advice.Grafts))));
        Assert.Equal(Known, (await NothingAsync(rig.At(16, 15))).Why);
    }

    [Fact]
    public async Task What_the_grower_notes_after_the_letter_is_looked_at_with_the_hours_known_already()
    {
        await rig.TurnsAsync(rig.At(5), (1, UrgentRig.FrostNight));
        await rig.LetterAsync(rig.At(5, 30));
        Assert.IsType<UrgentOutcome.Nothing>(await rig.LookAsync(rig.At(15, 45)));
        rig.Note("A", rig.At(15, 50), ObservationKind.Bbch, 15);
        Assert.NotEqual(Known, (await rig.LookAsync(rig.At(16)) as UrgentOutcome.Nothing)?.Why);
        Assert.Equal(Known, (await NothingAsync(rig.At(16, 15))).Why);
    }

    [Fact]
    public async Task What_the_next_letter_still_says_in_time_is_left_to_it()
    {
        await rig.LetterAsync(rig.At(5, 30));
        await rig.TurnsAsync(rig.At(20), (1, UrgentRig.HotDay));
        Assert.Equal("nothing new is urgent", (await NothingAsync(rig.At(20))).Why);
    }

    // A forecast that turns at a quarter past midnight: the eve is over, and the cover goes on at once.
    [Fact]
    public async Task A_frost_of_the_same_night_is_written_though_its_eve_is_over()
    {
        var cold = new UrgentRig(May, leafed: true);
        await cold.LetterAsync(cold.At(5, 30));
        await cold.TurnsAsync(cold.At(0, 15, later: 1), (1, UrgentRig.FrostNight with { LowC = -3 }));
        Assert.IsType<UrgentOutcome.Sealed>(await cold.LookAsync(cold.At(0, 15, later: 1)));
        Assert.Equal((WorkAction.FrostCover, Hazard.Frost), Assert.Single(cold.Composed[^1].Advice) is var line ? (line.Action, line.Hazard) : default);
    }

    // With and without holding hours; a frost that can be helped passes them.
    [Theory]
    [InlineData(0, 15, false, true)]
    [InlineData(0, 15, true, true)]
    [InlineData(4, 20, false, false)]
    [InlineData(4, 20, true, false)]
    public async Task Nobody_is_woken_for_a_frost_that_cannot_be_helped_any_more(int hour, int minute, bool holds, bool woken)
    {
        var cold = new UrgentRig(May, leafed: true);
        cold.Grower = cold.Grower with { Wishes = holds ? Night : cold.Grower.Wishes };
        await cold.LetterAsync(cold.At(5, 30));
        await cold.TurnsAsync(cold.At(hour, minute, later: 1), (1, UrgentRig.FrostNight with { LowC = -3 }));
        Assert.Equal(woken, await cold.LookAsync(cold.At(hour, minute, later: 1)) is UrgentOutcome.Sealed);
    }

    [Fact]
    public async Task A_note_lists_the_grafts_that_are_new_and_counts_those_told_of()
    {
        var cold = new UrgentRig(May, leafed: true);
        await cold.TurnsAsync(cold.At(5), (1, UrgentRig.FrostNight with { LowC = -3 }));
        await cold.LetterAsync(cold.At(5, 30));
        Assert.Equal(["A"], Assert.Single(cold.Composed[^1].Advice, advice => advice.Level == Level.Urgent).Grafts);
        cold.AddGraft("B", leafed: true);
        Assert.IsType<UrgentOutcome.Sealed>(await cold.LookAsync(cold.At(16)));
        Advice line = Assert.Single(cold.Composed[^1].Advice);
        Assert.Equal((1, 1), (line.Unions, line.ToldUnions));
        Assert.Equal(["B"], line.Grafts);
        Assert.DoesNotContain("2 unions", line.Text, StringComparison.Ordinal);
        Assert.Equal(["B"], cold.Ledger.Said[^1].Select(said => said.Graft));
    }

    [Fact]
    public async Task A_grower_who_wants_no_notes_gets_none()
    {
        rig.Grower = rig.Grower with { Urgent = [] };
        await rig.LetterAsync(rig.At(5, 30));
        await rig.TurnsAsync(rig.At(6, 30), (0, UrgentRig.HotDay));
        Assert.Equal("the grower wants none", (await NothingAsync(rig.At(6, 30))).Why);
    }

    [Fact]
    public async Task In_the_holding_hours_a_note_waits_for_their_end()
    {
        // The letter comes at noon, so that it cannot say in time what must be done next morning.
        var noon = new UrgentRig(May, letterTime: "12:00");
        noon.Grower = noon.Grower with { Wishes = Night };
        await noon.LetterAsync(noon.At(12));
        await noon.TurnsAsync(noon.At(22), (1, UrgentRig.HotDay));
        Assert.Equal(noon.At(6, 0, later: 1), Assert.IsType<UrgentOutcome.Held>(await noon.LookAsync(noon.At(22))).Until);
        Assert.Equal(Known, Assert.IsType<UrgentOutcome.Nothing>(await noon.LookAsync(noon.At(23))).Why);
        Assert.Equal(noon.At(6, 0, later: 1), Assert.IsType<UrgentOutcome.Held>(await noon.LookAsync(noon.At(5, 59, later: 1))).Until);
        Assert.Empty(noon.Notes);
        Assert.IsType<UrgentOutcome.Sealed>(await noon.LookAsync(noon.At(6, 0, later: 1)));
        Assert.Equal(May.PlusDays(1), Assert.Single(noon.Notes).Letter.Slot.Date);
    }

    [Fact]
    public async Task What_was_held_and_is_no_longer_forecast_at_their_end_is_not_written()
    {
        var noon = new UrgentRig(May, letterTime: "12:00");
        noon.Grower = noon.Grower with { Wishes = Night };
        await noon.LetterAsync(noon.At(12));
        await noon.TurnsAsync(noon.At(22), (1, UrgentRig.HotDay));
        Assert.IsType<UrgentOutcome.Held>(await noon.LookAsync(noon.At(22)));
        await noon.TurnsAsync(noon.At(4, 0, later: 1));
        Assert.IsType<UrgentOutcome.Nothing>(await noon.LookAsync(noon.At(6, 0, later: 1)));
        Assert.Empty(noon.Notes);
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task Frost_is_told_in_the_holding_hours_unless_the_grower_wants_to_sleep(bool frostPasses)
    {
        var cold = new UrgentRig(May, leafed: true);
        cold.Grower = cold.Grower with { Wishes = Night with { FrostPasses = frostPasses } };
        await cold.LetterAsync(cold.At(5, 30));
        await cold.TurnsAsync(cold.At(22), (1, UrgentRig.FrostNight));
        UrgentOutcome outcome = await cold.LookAsync(cold.At(22));
        Assert.Equal(frostPasses, outcome is UrgentOutcome.Sealed);
        Assert.Equal(!frostPasses, outcome is UrgentOutcome.Held);
    }

    [Fact]
    public async Task A_fourth_note_of_a_day_is_left_to_the_next_letter_and_the_next_day_counts_anew()
    {
        await rig.LetterAsync(rig.At(5, 30));
        for (int note = 0; note < 4; note++)
        {
            // A graft that the letter and the notes before did not speak of.
            rig.AddGraft("B" + note);
            Instant now = rig.At(6, 10 * note);
            await rig.TurnsAsync(now, (0, UrgentRig.HotDay with { HighC = 34 + (note / 10.0) }));
            UrgentOutcome outcome = await rig.LookAsync(now);
            Assert.Equal(note < 3, outcome is UrgentOutcome.Sealed);
        }

        Assert.Equal([0, 1, 2], rig.Notes.Select(note => note.Letter.Slot.Ordinal));
        rig.NewRun();
        Assert.StartsWith("3 notes went out today", (await NothingAsync(rig.At(7))).Why, StringComparison.Ordinal);

        await rig.TurnsAsync(rig.At(5, 0, later: 1));
        await rig.LetterAsync(rig.At(5, 30, later: 1));
        await rig.TurnsAsync(rig.At(6, 0, later: 1), (1, UrgentRig.HotDay));
        Assert.IsType<UrgentOutcome.Sealed>(await rig.LookAsync(rig.At(6, 0, later: 1)));
        Assert.Equal((May.PlusDays(1), 0), (rig.Notes[^1].Letter.Slot.Date, rig.Notes[^1].Letter.Slot.Ordinal));
    }

    [Theory]
    // The longest and the shortest day of a zone, a zone far ahead of UTC, one far behind, one with a change of half an hour.
    [InlineData("Europe/Berlin", "2026-10-25")]
    [InlineData("Europe/Berlin", "2027-03-28")]
    [InlineData("Pacific/Kiritimati", "2026-05-15")]
    [InlineData("Pacific/Pago_Pago", "2026-05-15")]
    [InlineData("Australia/Lord_Howe", "2027-04-04")]
    public async Task Notes_are_counted_by_the_growers_own_date_from_midnight_to_midnight(string zone, string date)
    {
        LocalDate day = LocalDatePattern.Iso.Parse(date).Value;
        var cold = new UrgentRig(day, zone, letterTime: "00:10", leafed: true);
        await cold.LetterAsync(cold.At(0, 10));
        for (int ordinal = 0; ordinal < 3; ordinal++)
        {
            await SealNoteAsync(cold, day, ordinal, cold.At(0, 20 + ordinal));
        }

        await cold.TurnsAsync(cold.At(23, 50), (1, UrgentRig.FrostNight));
        Assert.StartsWith("3 notes went out today", Assert.IsType<UrgentOutcome.Nothing>(await cold.LookAsync(cold.At(23, 55))).Why, StringComparison.Ordinal);
        Assert.IsType<UrgentOutcome.Sealed>(await cold.LookAsync(cold.At(0, 5, later: 1)));
        Assert.Equal((day.PlusDays(1), 0), (cold.Notes[^1].Letter.Slot.Date, cold.Notes[^1].Letter.Slot.Ordinal));
    }

    [Fact]
    public async Task A_note_that_no_server_takes_is_not_decided_anew_and_goes_on_waiting()
    {
        var channel = new FakeChannel { Answer = _ => new DeliveryResult(DeliveryOutcome.TryLater, DeliveryReason.ServerBusy, "451 later") };
        await rig.LetterAsync(rig.At(5, 30));
        await rig.TurnsAsync(rig.At(6), (0, UrgentRig.HotDay));
        SealedLetter note = (await SealedAsync(rig.At(6))).Letters[0];
        await DeliveriesOf(channel).RunAsync(() => rig.At(6), default);
        await rig.TurnsAsync(rig.At(6, 30), (0, UrgentRig.HotDay), (3, OtherDay));
        Assert.Equal("nothing new is urgent", (await NothingAsync(rig.At(6, 30))).Why);
        Assert.Equal(LetterState.Waiting, rig.Ledger[note.Slot].State);

        channel.Answer = _ => DeliveryResult.Accepted("250");
        await DeliveriesOf(channel).RunAsync(() => rig.At(8), default);
        Assert.Equal(LetterState.Accepted, rig.Ledger[note.Slot].State);
        Assert.Single(rig.Notes);
    }

    [Fact]
    public async Task A_note_that_a_server_refuses_for_good_is_kept_with_the_reason_and_makes_no_second_one()
    {
        var channel = new FakeChannel { Answer = _ => new DeliveryResult(DeliveryOutcome.GiveUp, DeliveryReason.Refused, "550 no such user") };
        await rig.LetterAsync(rig.At(5, 30));
        await rig.TurnsAsync(rig.At(6), (0, UrgentRig.HotDay));
        SealedLetter note = (await SealedAsync(rig.At(6))).Letters[0];
        await DeliveriesOf(channel).RunAsync(() => rig.At(6), default);
        await rig.TurnsAsync(rig.At(6, 30), (0, UrgentRig.HotDay), (3, OtherDay));
        Assert.IsType<UrgentOutcome.Nothing>(await rig.LookAsync(rig.At(6, 30)));
        Assert.Equal((LetterState.GivenUp, "550 no such user"), (rig.Ledger[note.Slot].State, rig.Ledger[note.Slot].LastDetail));
        Assert.Single(rig.Notes);
    }

    [Theory]
    [InlineData(SaidState.Done)]
    [InlineData(SaidState.NotNeeded)]
    public async Task What_the_grower_answered_is_silent_while_the_answer_holds_and_new_when_it_comes_back(SaidState answer)
    {
        await rig.LetterAsync(rig.At(5, 30));
        await rig.TurnsAsync(rig.At(6), (0, UrgentRig.HotDay));
        Assert.IsType<UrgentOutcome.Sealed>(await rig.LookAsync(rig.At(6)));
        rig.Answer(answer);
        await rig.TurnsAsync(rig.At(6, 30), (0, UrgentRig.HotDay), (3, OtherDay));
        Assert.Equal("nothing new is urgent", (await NothingAsync(rig.At(6, 30))).Why);

        // Days later, with no word of it in between: what was answered once must not silence a new spell for ever.
        await rig.TurnsAsync(rig.At(5, 0, later: 6));
        await rig.LetterAsync(rig.At(5, 30, later: 6));
        await rig.TurnsAsync(rig.At(6, 0, later: 6), (6, UrgentRig.HotDay));
        Assert.IsType<UrgentOutcome.Sealed>(await rig.LookAsync(rig.At(6, 0, later: 6)));
        Assert.Equal(2, rig.Notes.Count);
    }

    [Fact]
    public async Task Programs_that_look_at_once_write_one_note()
    {
        await rig.LetterAsync(rig.At(5, 30));
        await rig.TurnsAsync(rig.At(6), (0, UrgentRig.HotDay));
        UrgentOutcome[] outcomes = await Task.WhenAll(Enumerable.Range(0, 8).Select(_ => Task.Run(() => Looking(rig.NewRun()))));
        Assert.Single(outcomes.OfType<UrgentOutcome.Sealed>());
        Assert.Single(rig.Notes);
    }

    [Fact]
    public async Task A_note_that_another_program_seals_in_the_midst_of_a_look_is_not_written_again()
    {
        await rig.LetterAsync(rig.At(5, 30));
        await rig.TurnsAsync(rig.At(6), (0, UrgentRig.HotDay));
        UrgentRun slow = rig.NewRun(), quick = rig.NewRun();
        int soFar = 0;
        rig.SaidWasRead = async () =>
        {
            // Read once for the round and once for the decision; the other program looks after the second.
            if (++soFar == 2)
            {
                rig.SaidWasRead = null;
                Assert.IsType<UrgentOutcome.Sealed>(await Looking(quick));
            }
        };
        Assert.Equal("another run was first", Assert.IsType<UrgentOutcome.Nothing>(await Looking(slow)).Why);
        Assert.Single(rig.Notes);
    }

    [Fact]
    public async Task Without_weather_nothing_is_written_and_that_is_said()
    {
        await rig.LetterAsync(rig.At(5, 30));
        rig.IsAway = true;
        await rig.TurnsAsync(rig.At(9), (0, UrgentRig.HotDay));
        Assert.Equal("nothing new is urgent; there are no hours for home (no network), so nothing is known there", (await NothingAsync(rig.At(9))).Why);
        Assert.Empty(rig.Notes);

        // Hours that come back are looked at, though nothing else changed.
        rig.IsAway = false;
        await rig.TurnsAsync(rig.At(9, 5), (0, UrgentRig.HotDay), (1, UrgentRig.HotDay));
        Assert.DoesNotContain("last look", (await rig.LookAsync(rig.At(9, 5))).ToString(), StringComparison.Ordinal);
    }

    private async Task<UrgentOutcome.Nothing> NothingAsync(Instant now) => Assert.IsType<UrgentOutcome.Nothing>(await rig.LookAsync(now));

    private async Task<UrgentOutcome.Sealed> SealedAsync(Instant now) => Assert.IsType<UrgentOutcome.Sealed>(await rig.LookAsync(now));

    private Task<UrgentOutcome> Looking(UrgentRun run) => rig.LookAsync(rig.At(6), run);

    private DeliveryRun DeliveriesOf(FakeChannel channel) => new(rig.Ledger, rig.Ledger, channel, new FakeWorker(), TimeProvider.System, NullLogger<DeliveryRun>.Instance);

    private static async Task SealNoteAsync(UrgentRig rig, LocalDate date, int ordinal, Instant at)
    {
        SealedLetter letter = Some.Letter(rig.Grower, date, at, await rig.Ledger.NextNumberAsync(rig.Grower.Name, default));
        Assert.True(await rig.Ledger.SealAsync(letter with { Slot = letter.Slot with { Kind = LetterKind.Urgent, Ordinal = ordinal } }, default));
    }
}
