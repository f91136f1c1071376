using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Records.Tests.Stores;
using GraftWatch.Rounds.Answering;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Records.Tests.Contracts;

public abstract class SaidMemoryContract : StoreContract
{
    private static readonly SaidLine Shade = new(WorkAction.Shade, Hazard.Heat, "B3-07", Level.Act, Sample.Day);
    private static readonly SaidLine Slit = new(WorkAction.SlitTie, null, "B3-07", Level.Note, Sample.Day);

    [Fact]
    public async Task What_a_letter_said_is_remembered_with_it()
    {
        Assert.True(await SayAsync(0, Shade, Slit));
        await ReopenAsync();
        Assert.Equal(
            [
                new SaidBefore(WorkAction.Shade, Hazard.Heat, "B3-07", Sample.Day, Level.Act, SaidState.Open),
                new SaidBefore(WorkAction.SlitTie, null, "B3-07", Sample.Day, Level.Note, SaidState.Open),
            ],
            await Store.Register.LoadSaidAsync(Sample.Grower, Stop));
    }

    [Fact]
    public async Task A_run_that_came_second_remembers_nothing()
    {
        Assert.True(await SayAsync(0, Shade));
        Assert.False(await Store.Said.SealAsync(Sample.Letter(number: 2), [Slit], Stop));
        Assert.Equal(WorkAction.Shade, Assert.Single(await Store.Register.LoadSaidAsync(Sample.Grower, Stop)).Action);
    }

    [Fact]
    public async Task An_advice_that_stays_open_keeps_its_first_day_and_takes_the_new_level()
    {
        await SayAsync(0, Shade);
        await SayAsync(1, Shade with { Level = Level.Urgent });
        SaidBefore said = Assert.Single(await Store.Register.LoadSaidAsync(Sample.Grower, Stop));
        Assert.Equal((Sample.Day, Level.Urgent), (said.FirstSaid, said.LastLevel));
    }

    [Fact]
    public async Task What_the_last_morning_letter_no_longer_said_is_over()
    {
        await SayAsync(0, Shade, Slit);
        await SayAsync(1, Slit);
        Assert.Equal(WorkAction.SlitTie, Assert.Single(await Store.Register.LoadSaidAsync(Sample.Grower, Stop)).Action);
    }

    [Fact]
    public async Task An_urgent_note_does_not_end_what_the_morning_said()
    {
        await SayAsync(0, Slit);
        await Store.Said.SealAsync(Sample.Letter(Sample.Slot(kind: LetterKind.Urgent), 2, Sample.Morning + Duration.FromHours(8)), [Shade], Stop);
        Assert.Equal([WorkAction.Shade, WorkAction.SlitTie], (await Store.Register.LoadSaidAsync(Sample.Grower, Stop)).Select(said => said.Action));
    }

    [Fact]
    public async Task An_answer_counts_until_the_advice_is_said_again()
    {
        await SayAsync(0, Shade);
        await AnswerAsync(SaidState.PutOff, hours: 2, until: Sample.Day.PlusDays(3));
        await SayAsync(1);
        await SayAsync(2);
        SaidBefore putOff = Assert.Single(await Store.Register.LoadSaidAsync(Sample.Grower, Stop));
        Assert.Equal((SaidState.PutOff, Sample.Day.PlusDays(3), Sample.Day), (putOff.State, putOff.Until, putOff.AnsweredOn));

        await SayAsync(3, Shade);
        SaidBefore again = Assert.Single(await Store.Register.LoadSaidAsync(Sample.Grower, Stop));
        Assert.Equal((SaidState.Open, null, null), (again.State, again.Until, again.AnsweredOn));
    }

    [Fact]
    public async Task The_last_answer_counts_and_taking_it_back_brings_the_one_before()
    {
        await SayAsync(0, Shade);
        await AnswerAsync(SaidState.PutOff, hours: 1, until: Sample.Day.PlusDays(1));
        long done = await AnswerAsync(SaidState.Done, hours: 2);
        Assert.Equal(SaidState.Done, Assert.Single(await Store.Register.LoadSaidAsync(Sample.Grower, Stop)).State);

        Assert.Equal(UndoOutcome.Undone, await Store.Said.UndoAnswerAsync(Sample.Grower, done, Sample.Morning + Duration.FromHours(3), Stop));
        Assert.Equal(SaidState.PutOff, Assert.Single(await Store.Register.LoadSaidAsync(Sample.Grower, Stop)).State);
        Assert.Equal(UndoOutcome.AlreadyUndone, await Store.Said.UndoAnswerAsync(Sample.Grower, done, Sample.Morning + Duration.FromHours(3), Stop));
        Assert.Equal(UndoOutcome.NotFound, await Store.Said.UndoAnswerAsync("Bo Reed", done, Sample.Morning, Stop));
    }

    [Fact]
    public async Task An_answer_about_one_graft_leaves_the_others_open()
    {
        await SayAsync(0, Shade, Shade with { Graft = "B3-08" });
        await AnswerAsync(SaidState.NotNeeded, hours: 1);
        IReadOnlyList<SaidBefore> said = await Store.Register.LoadSaidAsync(Sample.Grower, Stop);
        Assert.Equal([("B3-07", SaidState.NotNeeded), ("B3-08", SaidState.Open)], said.Select(one => (one.Graft, one.State)));
    }

    [Fact]
    public async Task An_answer_about_dated_work_does_not_touch_the_hazard_of_the_same_name()
    {
        await SayAsync(0, Shade, Shade with { Hazard = null });
        await AnswerAsync(SaidState.Done, hours: 1);
        Assert.Equal([null, Hazard.Heat], (await Store.Register.LoadSaidAsync(Sample.Grower, Stop)).OrderBy(one => one.State).Select(one => one.Hazard));
    }

    [Fact]
    public async Task An_answer_must_say_something_about_a_graft()
    {
        await Assert.ThrowsAsync<ArgumentException>(() => Store.Said.AnswerAsync(Sample.Grower, new SaidAnswer(WorkAction.Shade, Hazard.Heat, [], SaidState.Done, null, Sample.Morning), Stop));
        await Assert.ThrowsAsync<ArgumentException>(() => AnswerAsync(SaidState.Open, hours: 0));
    }

    [Fact]
    public async Task Nothing_was_said_to_an_unknown_grower() => Assert.Empty(await Store.Register.LoadSaidAsync("Nobody", Stop));

    [Fact]
    public async Task The_last_run_of_a_job_is_known_after_a_restart()
    {
        Assert.Null(await Store.Jobs.LoadLastAsync("morning", Stop));
        var good = new JobRun("morning", Sample.Morning, Sample.Morning, Sample.Morning + Duration.FromSeconds(2), true, "40 letters");
        var died = new JobRun("morning", Sample.Morning + Duration.FromDays(1), Sample.Morning + Duration.FromDays(1), null, false, string.Empty);
        await Store.Jobs.RecordAsync(good with { EndedAt = null, Good = false }, Stop);
        await Store.Jobs.RecordAsync(good, Stop);
        await Store.Jobs.RecordAsync(died, Stop);
        await Store.Jobs.RecordAsync(good with { Job = "weather" }, Stop);
        await ReopenAsync();

        Assert.Equal(died, await Store.Jobs.LoadLastAsync("morning", Stop));
        Assert.Equal(good, await Store.Jobs.LoadLastGoodAsync("morning", Stop));
    }

    private Task<bool> SayAsync(int day, params SaidLine[] lines) =>
        Store.Said.SealAsync(Sample.Letter(Sample.Slot(date: Sample.Day.PlusDays(day)), day + 1, Sample.Morning + Duration.FromDays(day)), lines, Stop);

    private Task<long> AnswerAsync(SaidState state, int hours, LocalDate? until = null) =>
        Store.Said.AnswerAsync(Sample.Grower, new SaidAnswer(WorkAction.Shade, Hazard.Heat, ["B3-07"], state, until, Sample.Morning + Duration.FromHours(hours), Sample.Day), Stop);

    // The words a grower writes: graftwatch observe B3-07 "tie off".
    [Fact]
    public async Task Noting_that_the_tie_is_off_closes_the_advice_that_asked_for_it_and_only_that()
    {
        await Store.Keeper.ReplaceGraftsAsync(Sample.Grower, [Sample.Graft(), Sample.Graft("B3-08")], Stop);
        SaidLine[] said =
        [
            new(WorkAction.SlitTie, null, "B3-07", Level.Act, Sample.Day.PlusDays(-2)),
            new(WorkAction.SlitTie, null, "B3-08", Level.Act, Sample.Day),
            new(WorkAction.Shade, Hazard.Heat, "B3-07", Level.Act, Sample.Day),
        ];
        await Store.Said.SealAsync(Sample.Letter(), said, Stop);
        var meant = (Records.Observations.ObservationReading.Understood)Records.Observations.ObservationWords.Parse("tie off");
        var ada = new Grower(Sample.Grower, "ada@example.org", DateTimeZoneProviders.Tzdb["Europe/Berlin"], new LocalTime(6, 0), UnitSystem.Metric, []);
        Instant yesterday = Sample.Morning - Duration.FromHours(20);
        Instant noted = Sample.Morning + Duration.FromHours(3);
        long note = (await Store.Keeper.ObserveAsync(Sample.Grower, new Observation("B3-07", yesterday, meant.Kind), "tie off", noted, Stop))!.Value;
        var work = new NotedWork(Store.Register, Store.Answers, Store.Said);
        Assert.Equal([WorkAction.SlitTie], await work.CloseAsync(ada, "B3-07", NotedWork.ClosedBy(meant.Kind), yesterday, noted, Stop));

        IReadOnlyList<SaidBefore> before = await Store.Register.LoadSaidAsync(Sample.Grower, Stop);
        SaidBefore closed = Assert.Single(before, entry => entry.State == SaidState.Done);
        Assert.Equal(("B3-07", WorkAction.SlitTie, Sample.Day.PlusDays(-1)), (closed.Graft, closed.Action, closed.AnsweredOn));
        Assert.Equal(2, before.Count(entry => entry.State == SaidState.Open));

        await Store.Keeper.UndoObservationAsync(Sample.Grower, note, noted + Duration.FromMinutes(1), Stop);
        await work.UndoAsync(ada, Assert.Single(await Store.Keeper.LoadNotesAsync(Sample.Grower, Stop)), noted + Duration.FromMinutes(1), Stop);
        Assert.Equal(3, (await Store.Register.LoadSaidAsync(Sample.Grower, Stop)).Count(entry => entry.State == SaidState.Open));
    }

    [Fact]
    public async Task Work_that_leaves_nothing_to_be_seen_is_kept_as_an_answer_even_before_a_letter_asks_for_it()
    {
        await Store.Keeper.ReplaceGraftsAsync(Sample.Grower, [Sample.Graft()], Stop);
        var ada = new Grower(Sample.Grower, "ada@example.org", DateTimeZoneProviders.Tzdb["Europe/Berlin"], new LocalTime(6, 0), UnitSystem.Metric, []);
        var work = new NotedWork(Store.Register, Store.Answers, Store.Said);
        await work.AnswerAsync(ada, "B3-07", Records.Observations.WorkWords.Find("Weeded and mulched")!.Value, Sample.Morning, Sample.Morning, Stop);
        SaidBefore done = Assert.Single(await Store.Register.LoadSaidAsync(Sample.Grower, Stop));
        Assert.Equal((WorkAction.Weed, SaidState.Done, Sample.Day), (done.Action, done.State, done.AnsweredOn));
    }
}
