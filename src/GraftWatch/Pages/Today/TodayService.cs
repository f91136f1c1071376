using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Inputs;
using GraftWatch.Pages.Routing;
using GraftWatch.Records;
using GraftWatch.Records.Observations;
using GraftWatch.Rounds.Answering;
using GraftWatch.Rounds.Ports;
using GraftWatch.Serving;
using NodaTime;

namespace GraftWatch.Pages.Today;

/// <summary>What growers' pages do: show the day, take answers and notes, take them back.</summary>
internal sealed class TodayService(GrowerDays days, RecordsStore store, SettingsInForce settings)
{
    private readonly WorkAnswers answers = new(store.Answers, note => ObservationWords.Of(note.Kind, note.Value, note.Words));

    /// <summary>The rounds of today.</summary>
    internal GrowerDays Days => days;

    /// <summary>The store.</summary>
    internal RecordsStore Store => store;

    /// <summary>Species, materials and thresholds in force.</summary>
    internal Aftercare.Trade.Handbook Handbook => settings.Current.Morning.Handbook;

    /// <summary>The settings' path of a grower's register file; null when the grafts live in the store.</summary>
    internal string? RegisterFileOf(string grower) => settings.Current.Installation.Growers.FirstOrDefault(candidate => candidate.Name == grower)?.RegisterPath;

    /// <summary>The grower's day; null with the faults of a register file that cannot be read, or without any while the round is still being computed.</summary>
    internal async Task<(GrowerDay? Day, IReadOnlyList<string> Faults)> LookAsync(PageContext page)
    {
        try
        {
            return (await days.GetAsync(page.Grower, page.Now, page.Stopped).ConfigureAwait(false), []);
        }
        catch (RegisterRefusedException refused)
        {
            return (null, refused.Faults);
        }
    }

    /// <summary>The grower's grafts in walking order; none while their register file cannot be read, which the page of today says.</summary>
    internal async Task<IReadOnlyList<Graft>> GraftsAsync(PageContext page)
    {
        try
        {
            return await days.GraftsAsync(page.Grower, page.Now, page.Stopped).ConfigureAwait(false);
        }
        catch (RegisterRefusedException)
        {
            return [];
        }
    }

    /// <summary>A page for who has to wait for the first round of the day; it asks again by itself.</summary>
    internal static PageAnswer Wait(PageContext page) => page.Show(
        page.Say("today.making"),
        html =>
        {
            html.Paragraph(page.Say("today.making-do"), "lead");
            html.Link(page.To(page.Http.Request.Path + page.Http.Request.QueryString), page.Say("today.again"), "button");
        }).With("Refresh", "5");

    /// <summary>The answers that can still be taken back, newest first.</summary>
    internal Task<IReadOnlyList<NotedAnswer>> AnswersAsync(PageContext page) =>
        store.Answers.LoadAnswersAsync(page.Grower.Name, page.Now - Duration.FromDays(UndoWindow.Days), page.Stopped);

    /// <summary>Notes an answer to a line.</summary>
    internal Task<long?> AnswerAsync(PageContext page, Advice advice, IReadOnlyCollection<string> grafts, SaidState state) =>
        answers.AnswerAsync(page.Grower, advice, grafts, state, Handbook, page.Now, page.Stopped);

    /// <summary>Takes an answer back, with the notes it left.</summary>
    internal Task<UndoOutcome> UndoAnswerAsync(PageContext page, long id) => answers.UndoAsync(page.Grower, id, page.Now, page.Stopped);

    /// <summary>Notes what was seen or done at one graft.</summary>
    internal Task<NotingOutcome> NoteAsync(PageContext page, string label, string words, LocalDate? on) =>
        Noting.NoteAsync(store, Handbook, page.Grower, label, words, on, page.Now, page.Stopped);

    /// <summary>Takes a note back.</summary>
    internal Task<UndoOutcome> UndoNoteAsync(PageContext page, long note) =>
        Noting.UndoAsync(store, page.Grower, note, page.Now, page.Stopped);
}
