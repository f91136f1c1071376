using System.Net;
using System.Text.RegularExpressions;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Letters;
using GraftWatch.Letters.Outline;
using GraftWatch.Pages.Today;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.EndToEnd.Tests.Pages;

public sealed partial class TodayPagesTests
{
    [Fact]
    public async Task Today_says_what_the_letter_says_line_for_line()
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        Shown today = await rig.Browser.OpenAsync("/today");
        LetterOutline outline = LetterOutline.Of((await DayAsync(rig)).Round, LetterContext.Terminal);
        string plain = Folded(today.Plain);
        Assert.Contains(Folded(outline.Lead), plain, StringComparison.Ordinal);
        Assert.NotEmpty(outline.Work);
        Assert.All(outline.Work, block => Assert.Contains(Folded(block.Headline), plain, StringComparison.Ordinal));
        Assert.All(outline.Work.SelectMany(block => block.Facts.Concat(block.Needs)), fact => Assert.Contains(Folded(fact.Words), plain, StringComparison.Ordinal));
        Assert.All(outline.Sections, section => Assert.Contains(section.Title, plain, StringComparison.Ordinal));
    }

    [Fact]
    public async Task Done_shade_puts_the_cover_on_in_the_register_of_notes_and_takes_the_line_away()
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        Advice shade = await LineAsync(rig, WorkAction.Shade);
        Shown after = await rig.PressAsync("/today", "/today/answer", ("line", shade.Id), ("answer", "done"));
        Assert.Contains("Noted as done", after.Plain, StringComparison.Ordinal);
        NotedObservation[] notes = [.. (await rig.NotesAsync()).Where(note => note.Observation.Kind == ObservationKind.CoverOn)];
        Assert.Equal(shade.Grafts.Order(StringComparer.Ordinal), notes.Select(note => note.Observation.Label).Order(StringComparer.Ordinal));
        Assert.All(notes, note => Assert.Contains(shade.Materials, thing => thing.Contains(Names(note.Observation.Words!), StringComparison.Ordinal)));
        Assert.DoesNotContain((await DayAsync(rig)).Round.Advice, line => line.Action == WorkAction.Shade && line.Grafts.Intersect(shade.Grafts).Any());
    }

    [Fact]
    public async Task A_place_that_was_changed_counts_with_the_next_look()
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        Grower grower = (await rig.Site.Store.Book.LoadGrowersAsync(default)).Single(each => each.Name == GrowerRig.Name);
        var hill = new Place("Hill", new Microclimate.Sites.Site { LatitudeDeg = 48, LongitudeDeg = 9, ElevationM = 500, HorizonDeg = [0, 5] }, grower.Zone) { Assumed = ["Nothing was said of the soil."] };
        Assert.True(await rig.Site.Store.Book.KeepPlaceAsync(grower with { Places = [.. grower.Places, "Hill"] }, hill, isNew: true, default));
        GrowerDay first = await DayAsync(rig);
        Assert.Same(first, await DayAsync(rig));

        (string, string)[] higher = [("name", "Hill"), ("where", "48.0, 9.0"), ("elevation", "900"), ("shelter", "walled"), ("zone", grower.Zone.Id)];
        Assert.Equal("/you?said=kept", (await rig.Browser.PressAsync("/you/place?name=Hill", "/you/place", higher)).LeadsTo);
        Place now = (await DayAsync(rig)).Request.Places.Single(place => place.Place.Name == "Hill").Place;
        Assert.Equal((900, 0.3), (now.Site.ElevationM, now.Site.ShelterWindFrac));
    }

    [Fact]
    public async Task Taking_an_answer_back_takes_its_notes_back_and_brings_the_line_again()
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        Advice shade = await LineAsync(rig, WorkAction.Shade);
        await rig.PressAsync("/today", "/today/answer", ("line", shade.Id), ("answer", "done"));
        NotedAnswer answer = Assert.Single(await rig.Site.Store.Answers.LoadAnswersAsync(GrowerRig.Name, Instant.MinValue, default));
        Shown after = await rig.PressAsync("/today", "/today/undo", ("answer", Id(answer.Id)));
        Assert.Contains("Taken back.", after.Plain, StringComparison.Ordinal);
        Assert.All(await rig.NotesAsync(), note => Assert.NotNull(note.UndoneAt));
        Assert.Contains((await DayAsync(rig)).Round.Advice, line => line.Id == shade.Id);
    }

    [Fact]
    public async Task Some_grafts_of_a_line_can_be_answered_and_the_others_stay_open()
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        Advice line = (await DayAsync(rig)).Round.Advice.First(each => each.Grafts.Count > 2 && TodayPages.CanAnswer(each));
        Shown some = await rig.Browser.OpenAsync("/today/line?id=" + line.Id);
        Assert.All(line.Grafts, label => Assert.Contains($"value=\"{label}\"", some.Text, StringComparison.Ordinal));
        await rig.PressAsync("/today/line?id=" + line.Id, "/today/answer", ("line", line.Id), ("some", "yes"), ("graft", line.Grafts[0]), ("answer", "not-needed"));
        NotedAnswer answer = Assert.Single(await rig.Site.Store.Answers.LoadAnswersAsync(GrowerRig.Name, Instant.MinValue, default));
        Assert.Equal([line.Grafts[0]], answer.Answer.Grafts);
        Assert.Equal(SaidState.NotNeeded, answer.Answer.State);
        Assert.Contains((await DayAsync(rig)).Round.Advice, each => each.Action == line.Action && each.Grafts.Contains(line.Grafts[1]));
    }

    [Fact]
    public async Task Ticking_nothing_notes_nothing_and_says_so()
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        Advice line = (await DayAsync(rig)).Round.Advice.First(TodayPages.CanAnswer);
        Shown after = await rig.PressAsync("/today", "/today/answer", ("line", line.Id), ("some", "yes"), ("answer", "done"));
        Assert.Contains("tick at least one graft", after.Plain, StringComparison.Ordinal);
        Assert.Empty(await rig.Site.Store.Answers.LoadAnswersAsync(GrowerRig.Name, Instant.MinValue, default));
    }

    [Fact]
    public async Task Work_put_off_is_silent_until_tomorrow()
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        Advice line = await LineAsync(rig, WorkAction.RubOff);
        await rig.PressAsync("/today", "/today/answer", ("line", line.Id), ("answer", "put-off"));
        NotedAnswer answer = Assert.Single(await rig.Site.Store.Answers.LoadAnswersAsync(GrowerRig.Name, Instant.MinValue, default));
        Assert.Equal(new LocalDate(2026, 5, 13), answer.Answer.Until);
        Assert.Equal(new LocalDate(2026, 5, 12), answer.Answer.On);
        Assert.DoesNotContain((await DayAsync(rig)).Round.Advice, each => each.Action == WorkAction.RubOff && each.Grafts.Intersect(line.Grafts).Any());
    }

    [Theory]
    [InlineData("0000000000000000", "done", HttpStatusCode.NotFound)]
    [InlineData("", "done", HttpStatusCode.NotFound)]
    [InlineData(null, "burn", HttpStatusCode.BadRequest)]
    [InlineData(null, "", HttpStatusCode.BadRequest)]
    public async Task A_line_or_an_answer_that_is_not_there_is_refused(string? line, string answer, HttpStatusCode status)
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        string id = line ?? (await DayAsync(rig)).Round.Advice.First(TodayPages.CanAnswer).Id;
        Assert.Equal(status, (await rig.Browser.PressAsync("/today", "/today/answer", ("line", id), ("answer", answer))).Status);
        Assert.Empty(await rig.Site.Store.Answers.LoadAnswersAsync(GrowerRig.Name, Instant.MinValue, default));
    }

    [Fact]
    public async Task Grafts_of_other_growers_in_a_forged_form_are_left_out()
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        await GrowerRig.AddGrowerAsync(rig.Site, "Other", "other@larkhollow.example");
        await rig.Site.Store.Keeper.ReplaceGraftsAsync("Other", GrowerRig.Read("label,species,technique,made\nX-1,apple,cleft,2026-04-01\n"), default);
        Advice line = (await DayAsync(rig)).Round.Advice.First(TodayPages.CanAnswer);
        Shown answer = await rig.Browser.PressAsync("/today", "/today/answer", ("line", line.Id), ("some", "yes"), ("graft", "X-1"), ("answer", "done"));
        Assert.Equal(HttpStatusCode.NotFound, answer.Status);
        Assert.Empty(await rig.Site.Store.Keeper.LoadNotesAsync("Other", default));
        Assert.Equal(HttpStatusCode.NotFound, (await rig.Browser.PressAsync("/today", "/saw", ("graft", "X-1"), ("saw", "dead"))).Status);
        Assert.Empty(await rig.Site.Store.Keeper.LoadNotesAsync("Other", default));
        Assert.Equal(HttpStatusCode.NotFound, (await rig.Browser.LookAsync("/grafts/one?label=X-1")).Status);
    }

    [Fact]
    public async Task An_answer_of_another_grower_cannot_be_taken_back()
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        await GrowerRig.AddGrowerAsync(rig.Site, "Other", "other@larkhollow.example");
        var answer = new SaidAnswer(WorkAction.Look, null, ["X-1"], SaidState.Done, null, rig.Site.Now, new LocalDate(2026, 5, 12));
        long id = await rig.Site.Store.Answers.AnswerAsync("Other", answer, [], new LocalDate(2026, 5, 12), default);
        Assert.Equal(HttpStatusCode.NotFound, (await rig.Browser.PressAsync("/today", "/today/undo", ("answer", Id(id)))).Status);
        Assert.Null(Assert.Single(await rig.Site.Store.Answers.LoadAnswersAsync("Other", Instant.MinValue, default)).UndoneAt);
    }

    [Theory]
    [InlineData("green tip", "", ObservationKind.GreenTip, null)]
    [InlineData("tie cuts in", "", ObservationKind.TieGrooved, null)]
    [InlineData("dead", "", ObservationKind.Dead, null)]
    [InlineData("bbch 07", "", ObservationKind.Bbch, 7.0)]
    [InlineData("shoot", "12,5", ObservationKind.ShootLength, 0.125)]
    [InlineData("cover on foil", "", ObservationKind.CoverOn, null)]
    public async Task What_was_seen_is_noted_by_one_button_and_shown_in_the_history(string saw, string length, ObservationKind kind, double? value)
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        Shown after = await rig.PressAsync("/saw?graft=A1-01", "/saw", ("graft", "A1-01"), ("saw", saw), ("length", length));
        Assert.Contains("Noted.", after.Plain, StringComparison.Ordinal);
        Observation seen = Assert.Single(await rig.NotesAsync()).Observation;
        Assert.Equal((kind, value), (seen.Kind, seen.Value));
        Assert.Equal(kind == ObservationKind.CoverOn ? "foil" : null, seen.Words);
        Shown undone = await rig.PressAsync("/grafts/one?label=A1-01", "/saw/undo", ("note", Id((await rig.NotesAsync())[0].Note)), ("graft", "A1-01"));
        Assert.Contains("Taken back.", undone.Plain, StringComparison.Ordinal);
        Assert.NotNull(Assert.Single(await rig.NotesAsync()).UndoneAt);
    }

    [Theory]
    [InlineData("nonsense", "", "")]
    [InlineData("shoot", "ten", "")]
    [InlineData("shoot", "", "")]
    [InlineData("shoot", "9999", "")]
    [InlineData("cover on tinfoilhat", "", "")]
    [InlineData("green tip", "", "2026-05-13")]
    [InlineData("green tip", "", "yesterday")]
    public async Task A_sighting_that_cannot_be_is_refused_with_a_sentence(string saw, string length, string on)
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        Shown answer = await rig.Browser.PressAsync("/saw?graft=A1-01", "/saw", ("graft", "A1-01"), ("saw", saw), ("length", length), ("on", on));
        Assert.Equal(HttpStatusCode.BadRequest, answer.Status);
        Assert.Contains("role=\"alert\"", answer.Text, StringComparison.Ordinal);
        Assert.Empty(await rig.NotesAsync());
    }

    [Fact]
    public async Task Every_button_of_the_sightings_sends_words_that_can_be_noted()
    {
        foreach (string words in SawForm.Groups.SelectMany(group => group.Words))
        {
            Assert.IsType<GraftWatch.Records.Observations.ObservationReading.Understood>(GraftWatch.Records.Observations.ObservationWords.Parse(words));
            Assert.True(GraftWatch.Pages.Language.Phrases.In(GraftWatch.Pages.Language.PageLanguage.English).Has(SawForm.KeyOf(words)), words);
        }

        await Task.CompletedTask;
    }

    [Fact]
    public async Task A_German_grower_reads_German_around_the_English_advice()
    {
        await using GrowerRig rig = await GrowerRig.StartAsync(language: "de");
        Shown today = await rig.Browser.OpenAsync("/today");
        Assert.Contains("Dienstag, 12. Mai 2026", today.Plain, StringComparison.Ordinal);
        Assert.Contains("Erledigt", today.Plain, StringComparison.Ordinal);
        Assert.Contains("<html lang=\"de\">", today.Text, StringComparison.Ordinal);
        Assert.Matches("<h3 lang=\"en\">1\\. ", today.Text);
    }

    [Fact]
    public async Task A_grower_of_the_United_States_reads_and_types_their_units()
    {
        await using GrowerRig rig = await GrowerRig.StartAsync(units: UnitSystem.UnitedStates);
        Shown one = await rig.Browser.OpenAsync("/grafts/one?label=A1-01");
        Assert.Contains("°F", one.Plain, StringComparison.Ordinal);
        Assert.DoesNotMatch("[0-9] ?\u00A0?°C", one.Plain);
        await rig.PressAsync("/saw?graft=A1-01", "/saw", ("graft", "A1-01"), ("saw", "shoot"), ("length", "10"));
        Assert.Equal(0.254, Assert.Single(await rig.NotesAsync()).Observation.Value!.Value, 6);
    }

    [Fact]
    public async Task Nobody_who_is_not_signed_in_sees_or_does_anything()
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        using Browser stranger = rig.Site.Browse();
        foreach (string path in new[] { "/today", "/today/answers", "/today/line?id=x", "/saw?graft=A1-01", "/grafts", "/grafts/one?label=A1-01", "/grafts/add", "/grafts/upload", "/grafts/register.csv", "/plan", "/print", "/labels" })
        {
            Shown answer = await stranger.LookAsync(path);
            Assert.Equal(HttpStatusCode.SeeOther, answer.Status);
            Assert.StartsWith("/sign-in", answer.LeadsTo, StringComparison.Ordinal);
        }
    }

    [Theory]
    [InlineData("/today/answer")]
    [InlineData("/today/undo")]
    [InlineData("/saw")]
    [InlineData("/saw/undo")]
    [InlineData("/grafts/add")]
    [InlineData("/grafts/change")]
    [InlineData("/grafts/remove")]
    [InlineData("/grafts/upload")]
    [InlineData("/grafts/upload/keep")]
    public async Task A_form_from_elsewhere_or_without_its_token_does_nothing(string path)
    {
        await using GrowerRig rig = await GrowerRig.StartAsync();
        Shown page = await rig.Browser.OpenAsync("/today");
        (string, string)[] fields = [("line", "x"), ("answer", "done"), ("graft", "A1-01"), ("saw", "dead"), ("label", "A1-01"), ("note", "1")];
        Assert.Equal(HttpStatusCode.Forbidden, (await rig.Browser.PostAsync(path, fields)).Status);
        Assert.Equal(HttpStatusCode.Forbidden, (await rig.Browser.PostAsync(path, "cross-site", [("_form", page.FormToken), .. fields])).Status);
        Assert.Empty(await rig.NotesAsync());
    }

    [Fact]
    public void A_line_knows_what_of_it_was_answered_since_it_was_computed()
    {
        Instant computed = Instant.FromUtc(2026, 5, 12, 5, 0);
        Advice line = Line(["A", "B", "C"]);
        NotedAnswer[] answers =
        [
            Answer(1, ["A"], computed + Duration.FromMinutes(1)),
            Answer(2, ["B"], computed + Duration.FromMinutes(2)) with { UndoneAt = computed + Duration.FromMinutes(3) },
            Answer(3, ["C"], computed - Duration.FromMinutes(1)),
        ];
        var state = LineState.Of(line, computed, answers);
        Assert.Equal(["A"], state.Answered);
        Assert.Equal(["B", "C"], state.Open);
        Assert.False(state.IsAnswered);
        Assert.True(LineState.Of(Line(["A"]), computed, answers).IsAnswered);
    }

    private static Advice Line(string[] grafts) => new()
    {
        Id = "1",
        Action = WorkAction.Look,
        Level = Aftercare.Thresholds.Level.Act,
        Grafts = grafts,
        Where = string.Empty,
        Unions = grafts.Length,
        Reasons = [],
        Text = "Look.",
        Why = string.Empty,
        Place = "P",
    };

    private static NotedAnswer Answer(long id, string[] grafts, Instant at) => new(id, new SaidAnswer(WorkAction.Look, null, grafts, SaidState.Done, null, at), null);

    private static async Task<GrowerDay> DayAsync(GrowerRig rig)
    {
        Grower grower = (await rig.Site.Store.Book.LoadGrowersAsync(default)).Single(each => each.Name == GrowerRig.Name);
        return await Microsoft.Extensions.DependencyInjection.ServiceProviderServiceExtensions.GetRequiredService<GrowerDays>(rig.Site.Services).GetAsync(grower, rig.Site.Now, default) ?? throw new InvalidOperationException("The round is still being computed.");
    }

    private static async Task<Advice> LineAsync(GrowerRig rig, WorkAction action) => (await DayAsync(rig)).Round.Advice.First(line => line.Action == action);

    private static string Names(string cover) => Settings.SettingsLoader.LoadHandbook(folder: null).Value!.Covers[cover].Name;

    private static string Id(long number) => number.ToString(System.Globalization.CultureInfo.InvariantCulture);

    private static string Folded(string text) => Gaps().Replace(text, " ");

    [GeneratedRegex("\\s+")]
    private static partial Regex Gaps();
}
