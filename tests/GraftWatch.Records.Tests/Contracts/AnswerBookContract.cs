using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Records.Tests.Stores;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Records.Tests.Contracts;

public abstract class AnswerBookContract : StoreContract
{
    private static readonly Instant At = Instant.FromUtc(2026, 5, 14, 6, 0);
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
