using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Records.Observations;
using GraftWatch.Records.Tests.Stores;
using GraftWatch.Rounds.Answering;
using GraftWatch.Rounds.Ports;
using GraftWatch.Settings;
using NodaTime;

namespace GraftWatch.Records.Tests.Contracts;

public abstract class AnswerBookContract : StoreContract
{
    private static readonly Instant At = Instant.FromUtc(2026, 5, 14, 6, 0);
    private static readonly Handbook Handbook = SettingsLoader.LoadHandbook(null).Value!;
    private static readonly SaidLine Look = new(WorkAction.Look, null, "A", Level.Act, new LocalDate(2026, 5, 14));

    [Fact]
    public async Task An_answer_to_what_no_letter_said_counts_all_the_same()
    {
        await Store.Answers.AnswerAsync(Sample.Grower, Answer(["A"], SaidState.Done), [Look], new LocalDate(2026, 5, 14), Stop);
        SaidBefore said = Assert.Single(await Store.Register.LoadSaidAsync(Sample.Grower, Stop));
        Assert.Equal((SaidState.Done, new LocalDate(2026, 5, 14)), (said.State, said.AnsweredOn));
    }

    [Fact]
    public async Task Answers_come_back_whole_newest_first_and_say_when_they_were_taken_back()
    {
        long first = await Store.Answers.AnswerAsync(Sample.Grower, Answer(["A", "B"], SaidState.PutOff), [], new LocalDate(2026, 5, 14), Stop);
        long second = await Store.Answers.AnswerAsync(Sample.Grower, Answer(["C"], SaidState.NotNeeded) with { At = At + Duration.FromMinutes(1) }, [], new LocalDate(2026, 5, 14), Stop);
        Assert.Equal(UndoOutcome.Undone, await Store.Said.UndoAnswerAsync(Sample.Grower, first, At + Duration.FromHours(1), Stop));
        IReadOnlyList<NotedAnswer> answers = await Store.Answers.LoadAnswersAsync(Sample.Grower, At, Stop);
        Assert.Equal([second, first], answers.Select(noted => noted.Id));
        Assert.Equal(["A", "B"], answers[1].Answer.Grafts);
        Assert.Equal((At + Duration.FromHours(1), (Instant?)null), (answers[1].UndoneAt, answers[0].UndoneAt));
        Assert.Empty(await Store.Answers.LoadAnswersAsync(Sample.Grower, At + Duration.FromHours(2), Stop));
        Assert.Empty(await Store.Answers.LoadAnswersAsync("Somebody else", At, Stop));
    }

    [Fact]
    public async Task The_mark_changes_with_every_answer_note_and_taking_back()
    {
        await Store.Keeper.ReplaceGraftsAsync(Sample.Grower, [Graft("A"), Graft("B")], Stop);
        var marks = new List<string> { await MarkAsync() };
        long answer = await Store.Answers.AnswerAsync(Sample.Grower, Answer(["A"], SaidState.Done), [], new LocalDate(2026, 5, 14), Stop);
        marks.Add(await MarkAsync());
        await Store.Keeper.ObserveManyAsync(Sample.Grower, [(new Observation("A", At, ObservationKind.CoverOn, Words: "foil"), "cover on foil")], At, Stop);
        marks.Add(await MarkAsync());
        await Store.Said.UndoAnswerAsync(Sample.Grower, answer, At, Stop);
        marks.Add(await MarkAsync());
        await Store.Keeper.UndoObservationsAsync(Sample.Grower, [.. (await Store.Keeper.LoadNotesAsync(Sample.Grower, Stop)).Select(note => note.Note)], At, Stop);
        marks.Add(await MarkAsync());
        Assert.Equal(5, marks.Distinct(StringComparer.Ordinal).Count());
    }

    [Fact]
    public async Task Notes_of_many_grafts_are_kept_at_once_and_foreign_labels_are_left_out()
    {
        await Store.Keeper.ReplaceGraftsAsync(Sample.Grower, [Graft("A"), Graft("B")], Stop);
        (Observation, string)[] seen = [.. new[] { "A", "B", "X" }.Select(label => (new Observation(label, At, ObservationKind.CoverOn, Words: "padded-paper"), "cover on padded-paper"))];
        Assert.Equal(2, await Store.Keeper.ObserveManyAsync(Sample.Grower, seen, At, Stop));
        IReadOnlyList<Observation> kept = await Store.Register.LoadObservationsAsync(Sample.Grower, Stop);
        Assert.Equal(["A", "B"], kept.Select(each => each.Label).Order(StringComparer.Ordinal));
        Assert.All(kept, each => Assert.Equal("padded-paper", each.Words));
    }

    [Fact]
    public async Task Done_work_keeps_its_answer_and_its_traces_and_taking_it_back_takes_both()
    {
        await Store.Keeper.ReplaceGraftsAsync(Sample.Grower, [Graft("A"), Graft("B")], Stop);
        await Store.Keeper.ObserveAsync(Sample.Grower, new Observation("A", At - Duration.FromHours(1), ObservationKind.Watered), "watered", At - Duration.FromHours(1), Stop);
        var work = new WorkAnswers(Store.Answers, Words);
        long id = (await work.AnswerAsync(Ada, TieOff("A", "B"), ["A", "B"], SaidState.Done, Handbook, At, Stop))!.Value;
        Assert.Equal(["A watered", "A tie off", "B tie off"], await StandingNotesAsync());
        Assert.Equal(UndoOutcome.Undone, await work.UndoAsync(Ada, id, At + Duration.FromMinutes(1), Stop));
        Assert.Equal(UndoOutcome.AlreadyUndone, await work.UndoAsync(Ada, id, At + Duration.FromMinutes(2), Stop));
        Assert.Equal(["A watered"], await StandingNotesAsync());
        Assert.NotNull(Assert.Single(await Store.Answers.LoadAnswersAsync(Sample.Grower, At, Stop)).UndoneAt);
    }

    // One line shades against heat and drying; by link it is known only as the letter left it in the store.
    [Theory]
    [InlineData(SaidState.NotNeeded, true)]
    [InlineData(SaidState.NotNeeded, false)]
    [InlineData(SaidState.Done, true)]
    [InlineData(SaidState.PutOff, false)]
    public async Task An_answer_to_a_line_against_two_hazards_holds_for_both_and_is_taken_back_from_both(SaidState state, bool byLink)
    {
        Advice line = ShadeAgainstTwo();
        await Store.Said.SealAsync(Sample.Letter(), [.. SaidLine.Of(line, line.Grafts, Sample.Day)], Stop);
        SaidAdvice kept = (await Store.SaidAdvice.FindAsync(Sample.Grower, line.Id, Stop))!;
        Assert.Equal(["A", "B"], kept.Grafts);
        Instant at = kept.SaidAt + Duration.FromHours(1);
        var work = new WorkAnswers(Store.Answers, Words);
        long id = (await work.AnswerAsync(Ada, byLink ? kept.ToAdvice() : line, ["A", "B"], state, Handbook, at, Stop))!.Value;
        Assert.Equal(["A Drying", "A Heat", "B Heat"], await InStateAsync(state));
        SaidAnswer answer = Assert.Single(await Store.Answers.LoadAnswersAsync(Sample.Grower, at, Stop)).Answer;
        Assert.Equal((Hazard.Heat, Hazard.Drying), (answer.Hazard!.Value, Assert.Single(answer.AlsoAgainst)));
        Assert.Equal(["A", "B"], answer.Grafts);
        Assert.Equal(UndoOutcome.Undone, await work.UndoAsync(Ada, id, at + Duration.FromMinutes(1), Stop));
        Assert.Equal(["A Drying", "A Heat", "B Heat"], await InStateAsync(SaidState.Open));
    }

    [Fact]
    public async Task Taking_back_an_answer_about_one_graft_leaves_what_was_answered_at_the_same_instant_about_another()
    {
        SaidAnswer tied = new(WorkAction.Stake, Hazard.Wind, ["A"], SaidState.Done, null, At, new LocalDate(2026, 5, 14));
        long first = await Store.Answers.AnswerAsync(Sample.Grower, tied, [], new LocalDate(2026, 5, 14), Stop);
        await Store.Answers.AnswerAsync(Sample.Grower, tied with { Grafts = ["B"] }, [], new LocalDate(2026, 5, 14), Stop);
        await Store.Answers.AnswerAsync(Sample.Grower, tied with { Grafts = ["C"], Hazard = Hazard.Heat }, [], new LocalDate(2026, 5, 14), Stop);
        Assert.Equal(UndoOutcome.Undone, await Store.Answers.UndoAsync(Sample.Grower, first, At, Stop));
        Assert.Equal(
            ["C True", "B True", "A False"],
            (await Store.Answers.LoadAnswersAsync(Sample.Grower, At, Stop)).Select(noted => $"{Assert.Single(noted.Answer.Grafts)} {noted.UndoneAt is null}"));
    }

    [Fact]
    public async Task Work_that_is_told_as_done_closes_every_hazard_it_was_asked_for()
    {
        Advice line = ShadeAgainstTwo();
        await Store.Said.SealAsync(Sample.Letter(), [.. SaidLine.Of(line, line.Grafts, Sample.Day)], Stop);
        Instant now = Sample.Letter().SealedAt + Duration.FromHours(1);
        await new NotedWork(Store.Register, Store.Answers, Store.Said).AnswerAsync(Ada, "A", WorkAction.Shade, now, now, Stop);
        Assert.Equal(["A Drying", "A Heat"], await InStateAsync(SaidState.Done));
    }

    [Fact]
    public async Task An_answer_whose_traces_the_store_does_not_take_is_not_kept_either()
    {
        await Store.Keeper.ReplaceGraftsAsync(Sample.Grower, [Graft("A"), Graft("B")], Stop);
        var work = new WorkAnswers(Store.Answers, note => note.Label == "B" ? "tie\0off" : Words(note));
        await Assert.ThrowsAsync<ArgumentException>(() => work.AnswerAsync(Ada, TieOff("A", "B"), ["A", "B"], SaidState.Done, Handbook, At, Stop));
        await NothingIsKeptAsync();
    }

    [Fact]
    public async Task A_caller_who_leaves_in_the_middle_of_an_answer_leaves_no_half_of_it()
    {
        await Store.Keeper.ReplaceGraftsAsync(Sample.Grower, [Graft("A")], Stop);
        using var leaves = CancellationTokenSource.CreateLinkedTokenSource(Stop);
        var work = new WorkAnswers(
            Store.Answers,
            note =>
            {
                leaves.Cancel();
                return Words(note);
            });
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => work.AnswerAsync(Ada, TieOff("A"), ["A"], SaidState.Done, Handbook, At, leaves.Token));
        await NothingIsKeptAsync();
    }

    [Fact]
    public async Task An_answer_whose_traces_cannot_be_taken_back_stands_whole()
    {
        await Store.Keeper.ReplaceGraftsAsync(Sample.Grower, [Graft("A"), Graft("B")], Stop);
        var work = new WorkAnswers(Store.Answers, Words);
        long id = (await work.AnswerAsync(Ada, TieOff("A", "B"), ["A", "B"], SaidState.Done, Handbook, At, Stop))!.Value;

        // The second of the two notes breaks the rule, after the answer and the first have been taken back.
        await Store.Engine.WriteAsync(session => session.ExecuteAsync("CREATE UNIQUE INDEX one_taken_back ON observation (grower_id) WHERE undone_at IS NOT NULL"), Stop);
        await Assert.ThrowsAnyAsync<System.Data.Common.DbException>(() => work.UndoAsync(Ada, id, At + Duration.FromMinutes(1), Stop));
        Assert.Null(Assert.Single(await Store.Answers.LoadAnswersAsync(Sample.Grower, At, Stop)).UndoneAt);
        Assert.Equal(["A tie off", "B tie off"], await StandingNotesAsync());
    }

    private static Grower Ada => new(Sample.Grower, "ada@example.org", DateTimeZoneProviders.Tzdb["Europe/Berlin"], new LocalTime(6, 0), UnitSystem.Metric, []);

    private static Advice TieOff(params string[] grafts) => new()
    {
        Id = "1",
        Action = WorkAction.TieOff,
        Level = Level.Act,
        Grafts = grafts,
        Where = string.Empty,
        Unions = grafts.Length,
        Reasons = [],
        Text = "Take the tie off.",
        Why = "It would cut in.",
        Place = "Larkhollow",
    };

    private static Advice ShadeAgainstTwo() => TieOff("A", "B") with
    {
        Id = "shade-heat-01",
        Action = WorkAction.Shade,
        Hazard = Hazard.Heat,
        AlsoAgainst = [new AlsoAgainst(Hazard.Drying, Level.Act, ["A"])],
        Text = "Shade them.",
    };

    private async Task<string[]> InStateAsync(SaidState state) =>
        [.. (await Store.Register.LoadSaidAsync(Sample.Grower, Stop)).Where(said => said.State == state).Select(said => $"{said.Graft} {said.Hazard}").Order(StringComparer.Ordinal)];

    private static string Words(Observation note) => ObservationWords.Of(note.Kind, note.Value, note.Words);

    private async Task NothingIsKeptAsync()
    {
        Assert.Empty(await Store.Answers.LoadAnswersAsync(Sample.Grower, Instant.FromUtc(2020, 1, 1, 0, 0), Stop));
        Assert.Empty(await Store.Register.LoadSaidAsync(Sample.Grower, Stop));
        Assert.Empty(await Store.Keeper.LoadNotesAsync(Sample.Grower, Stop));
    }

    private async Task<string[]> StandingNotesAsync() =>
        [.. (await Store.Keeper.LoadNotesAsync(Sample.Grower, Stop)).Where(note => note.UndoneAt is null).Select(note => $"{note.Observation.Label} {note.Words}")];

    private Task<string> MarkAsync() => Store.Answers.MarkAsync(Sample.Grower, Stop);

    private static SaidAnswer Answer(string[] grafts, SaidState state) =>
        new(WorkAction.Look, null, grafts, state, state == SaidState.PutOff ? new LocalDate(2026, 5, 15) : null, At, new LocalDate(2026, 5, 14));

    private static Graft Graft(string label) => new()
    {
        Label = label,
        Place = "Larkhollow",
        Species = "apple",
        Technique = Technique.Cleft,
        Made = new LocalDate(2026, 4, 1),
        AspectDeg = 180,
        HeightM = 1,
        DiameterM = 0.03,
    };
}
