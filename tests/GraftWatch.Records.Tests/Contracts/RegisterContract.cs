using GraftWatch.Aftercare.Grafts;
using GraftWatch.Records.Tests.Stores;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Records.Tests.Contracts;

public abstract class RegisterContract : StoreContract
{
    [Fact]
    public async Task A_graft_comes_back_as_it_was_with_every_field()
    {
        Graft full = Sample.Graft();
        var bare = new Graft { Label = "Ω-1", Place = "Long Meadow", Species = "pear", Technique = Technique.TBud, Made = new LocalDate(2026, 8, 1), AspectDeg = 0, HeightM = 0.2, DiameterM = 0.008 };
        await Store.Keeper.ReplaceGraftsAsync(Sample.Grower, [full, bare], Stop);
        await ReopenAsync();

        Graft[] loaded = [.. await Store.Register.LoadGraftsAsync(Sample.Grower, Stop)];

        Assert.Equivalent(new[] { bare, full }, loaded, strict: true);
        Assert.Null(loaded[0].ShootM);
        Assert.Null(loaded[0].Bbch);
    }

    [Fact]
    public async Task Every_technique_and_support_has_a_word_of_its_own()
    {
        Graft[] all = [.. from technique in Enum.GetValues<Technique>() from support in Enum.GetValues<ShootSupport>() select Sample.Graft($"{technique}/{support}") with { Technique = technique, Support = support }];
        await Store.Keeper.ReplaceGraftsAsync(Sample.Grower, all, Stop);
        Assert.All(await Store.Register.LoadGraftsAsync(Sample.Grower, Stop), graft => Assert.Equal($"{graft.Technique}/{graft.Support}", graft.Label));
    }

    [Fact]
    public async Task Replacing_tells_what_changed_and_importing_keeps_the_others()
    {
        Assert.Equal(new RegisterChange(3, 0, 0, 0), await Store.Keeper.ReplaceGraftsAsync(Sample.Grower, [Sample.Graft("a"), Sample.Graft("b"), Sample.Graft("c")], Stop));
        Assert.Equal(new RegisterChange(0, 0, 0, 3), await Store.Keeper.ReplaceGraftsAsync(Sample.Grower, [Sample.Graft("a"), Sample.Graft("b"), Sample.Graft("c")], Stop));
        Assert.Equal(new RegisterChange(1, 1, 1, 1), await Store.Keeper.ReplaceGraftsAsync(Sample.Grower, [Sample.Graft("a"), Sample.Graft("b") with { Count = 9 }, Sample.Graft("d")], Stop));
        Assert.Equal(new RegisterChange(0, 1, 0, 0), await Store.Keeper.ImportGraftsAsync(Sample.Grower, [Sample.Graft("a") with { Assumed = ["other words"] }], Stop));
        Assert.Equal(["a", "b", "d"], (await Store.Register.LoadGraftsAsync(Sample.Grower, Stop)).Select(graft => graft.Label));
    }

    [Fact]
    public async Task A_bad_graft_leaves_the_whole_register_as_it_was()
    {
        await Store.Keeper.ReplaceGraftsAsync(Sample.Grower, [Sample.Graft("a"), Sample.Graft("b")], Stop);
        await Assert.ThrowsAsync<ArgumentException>(() => Store.Keeper.ReplaceGraftsAsync(Sample.Grower, [Sample.Graft("c"), Sample.Graft("d") with { HeightM = double.NaN }], Stop));
        await Assert.ThrowsAsync<ArgumentException>(() => Store.Keeper.ReplaceGraftsAsync(Sample.Grower, [Sample.Graft("c"), Sample.Graft("c")], Stop));
        await Assert.ThrowsAsync<ArgumentException>(() => Store.Keeper.ReplaceGraftsAsync(Sample.Grower, [Sample.Graft("c"), Sample.Graft("d") with { Notes = "a\0b" }], Stop));
        Assert.Equal(["a", "b"], (await Store.Register.LoadGraftsAsync(Sample.Grower, Stop)).Select(graft => graft.Label));
    }

    [Fact]
    public async Task Growers_do_not_see_each_others_grafts_or_notes()
    {
        await Store.Keeper.ReplaceGraftsAsync(Sample.Grower, [Sample.Graft()], Stop);
        await Store.Keeper.ReplaceGraftsAsync("Bo Reed", [Sample.Graft()], Stop);
        long note = (await Store.Keeper.ObserveAsync("Bo Reed", new Observation("B3-07", Sample.Morning, ObservationKind.GreenTip), "green tip", Sample.Morning, Stop))!.Value;
        await Store.Keeper.ReplaceGraftsAsync("Bo Reed", [], Stop);

        Assert.Single(await Store.Register.LoadGraftsAsync(Sample.Grower, Stop));
        Assert.Empty(await Store.Register.LoadObservationsAsync(Sample.Grower, Stop));
        Assert.Equal(UndoOutcome.NotFound, await Store.Keeper.UndoObservationAsync(Sample.Grower, note, Sample.Morning, Stop));
        Assert.Single(await Store.Register.LoadObservationsAsync("Bo Reed", Stop));
    }

    [Fact]
    public async Task Grafts_come_in_walking_order()
    {
        Graft[] mixed = [Sample.Graft("3", "B", "10"), Sample.Graft("4", "B", "2", "10"), Sample.Graft("5", "B", "2", "9"), Sample.Graft("1", "A", "7"), Sample.Graft("2", "a", "8")];
        await Store.Keeper.ReplaceGraftsAsync(Sample.Grower, mixed, Stop);
        Assert.Equal(["1", "2", "5", "4", "3"], (await Store.Register.LoadGraftsAsync(Sample.Grower, Stop)).Select(graft => graft.Label));
    }

    [Fact]
    public async Task A_register_of_10_000_grafts_is_replaced_in_one_transaction()
    {
        Graft[] many = [.. Enumerable.Range(0, 10_000).Select(i => Sample.Graft($"L{i:00000}"))];
        Assert.Equal(10_000, (await Store.Keeper.ReplaceGraftsAsync(Sample.Grower, many, Stop)).Added);
        Assert.Equal(10_000, (await Store.Register.LoadGraftsAsync(Sample.Grower, Stop)).Count);
    }

    [Fact]
    public async Task A_note_about_an_unknown_graft_is_not_taken()
    {
        Assert.Null(await Store.Keeper.ObserveAsync(Sample.Grower, new Observation("B3-07", Sample.Morning, ObservationKind.Dead), "dead", Sample.Morning, Stop));
        await Store.Keeper.ReplaceGraftsAsync(Sample.Grower, [Sample.Graft()], Stop);
        Assert.Null(await Store.Keeper.ObserveAsync(Sample.Grower, new Observation("B3-08", Sample.Morning, ObservationKind.Dead), "dead", Sample.Morning, Stop));
        Assert.Empty(await Store.Keeper.LoadNotesAsync(Sample.Grower, Stop));
    }

    [Fact]
    public async Task Notes_come_oldest_first_with_value_and_words()
    {
        await Store.Keeper.ReplaceGraftsAsync(Sample.Grower, [Sample.Graft()], Stop);
        var later = new Observation("B3-07", Sample.Morning + Duration.FromDays(1), ObservationKind.ShootLength, 0.12);
        var sooner = new Observation("B3-07", Sample.Morning, ObservationKind.GreenTip);
        await Store.Keeper.ObserveAsync(Sample.Grower, later, "shoot 12 cm", later.At, Stop);
        await Store.Keeper.ObserveAsync(Sample.Grower, sooner, "green tip", later.At, Stop);
        await ReopenAsync();

        Assert.Equal([sooner, later], await Store.Register.LoadObservationsAsync(Sample.Grower, Stop));
        Assert.Equal(["green tip", "shoot 12 cm"], (await Store.Keeper.LoadNotesAsync(Sample.Grower, Stop)).Select(note => note.Words));
    }

    [Fact]
    public async Task Every_kind_of_observation_comes_back()
    {
        await Store.Keeper.ReplaceGraftsAsync(Sample.Grower, [Sample.Graft()], Stop);
        Observation[] all = [.. Enum.GetValues<ObservationKind>().Select((kind, i) => new Observation("B3-07", Sample.Morning + Duration.FromMinutes(i), kind))];
        foreach (Observation one in all)
        {
            await Store.Keeper.ObserveAsync(Sample.Grower, one, string.Empty, Sample.Morning, Stop);
        }

        Assert.Equal(all, await Store.Register.LoadObservationsAsync(Sample.Grower, Stop));
    }

    [Fact]
    public async Task A_note_can_be_taken_back_for_30_days_and_stays_on_record()
    {
        await Store.Keeper.ReplaceGraftsAsync(Sample.Grower, [Sample.Graft()], Stop);
        var seen = new Observation("B3-07", Sample.Morning, ObservationKind.Dead);
        long first = (await Store.Keeper.ObserveAsync(Sample.Grower, seen, "dead", Sample.Morning, Stop))!.Value;
        long second = (await Store.Keeper.ObserveAsync(Sample.Grower, seen, "dead", Sample.Morning, Stop))!.Value;
        Instant lastMoment = Sample.Morning + Duration.FromDays(30);

        Assert.Equal(UndoOutcome.Undone, await Store.Keeper.UndoObservationAsync(Sample.Grower, first, lastMoment, Stop));
        Assert.Equal(UndoOutcome.AlreadyUndone, await Store.Keeper.UndoObservationAsync(Sample.Grower, first, lastMoment, Stop));
        Assert.Equal(UndoOutcome.TooLate, await Store.Keeper.UndoObservationAsync(Sample.Grower, second, lastMoment + Duration.FromTicks(1), Stop));
        Assert.Equal(UndoOutcome.NotFound, await Store.Keeper.UndoObservationAsync(Sample.Grower, 4711, lastMoment, Stop));

        Assert.Single(await Store.Register.LoadObservationsAsync(Sample.Grower, Stop));
        Assert.Equal([lastMoment, null], (await Store.Keeper.LoadNotesAsync(Sample.Grower, Stop)).Select(note => note.UndoneAt));
    }
}
