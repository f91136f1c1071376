using GraftWatch.Aftercare.Advising;
using GraftWatch.Letters.Links;
using GraftWatch.Pages.People;
using GraftWatch.Pages.Routing;
using GraftWatch.Pages.Security;
using GraftWatch.Records;
using GraftWatch.Rounds.Answering;
using GraftWatch.Rounds.Ports;
using GraftWatch.Serving;
using NodaTime;

namespace GraftWatch.Pages.FromLetters;

/// <summary>The pages behind the links of letters. A GET shows, a POST acts, and every act can be taken back.</summary>
/// <remarks>A link is its own proof and signs nobody in. A mail program's one-click POST (RFC 8058) comes without cookie and token and is answered alike.</remarks>
internal sealed class LetterLinkPages(LetterLinks links, RecordsStore store, GrowerDirectory directory, WorkAnswers answers, SettingsInForce settings, Limits limits) : IPageGroup
{
    private static readonly Duration UndoLife = Duration.FromDays(UndoWindow.Days);

    public void Map(PageRoutes routes)
    {
        routes.GetByAddress(ActionLinks.Path + "{token}", ShowAsync);
        routes.PostByAddress(ActionLinks.Path + "{token}", ActAsync);
    }

    private async Task<PageAnswer> ShowAsync(PageContext page)
    {
        if (await ReadAsync(page).ConfigureAwait(false) is not { } read)
        {
            return Foreign(page);
        }

        return read switch
        {
            { IsOver: true } => Answer(StatusCodes.Status410Gone, ActionPages.Ended(read.Link)),
            { Link.Answer: WorkAnswer.Page } => page.Next("/today"),
            _ => Answer(StatusCodes.Status200OK, ActionPages.Ask(read.Link, read.Words, read.Grower.Address)),
        };
    }

    private async Task<PageAnswer> ActAsync(PageContext page)
    {
        if (await ReadAsync(page).ConfigureAwait(false) is not { } read)
        {
            return Foreign(page);
        }

        if (read.IsOver)
        {
            return Answer(StatusCodes.Status410Gone, ActionPages.Ended(read.Link));
        }

        if (read.Link.Answer == WorkAnswer.Page)
        {
            return page.Next("/today");
        }

        await ActAsync(page, read).ConfigureAwait(false);
        return Answer(StatusCodes.Status200OK, ActionPages.Acted(read.Link, read.Words, read.Grower.Address, await UndoOfAsync(page, read.Link).ConfigureAwait(false)));
    }

    private async Task ActAsync(PageContext page, ReadLink read)
    {
        switch (read.Link.Answer)
        {
            case WorkAnswer.Done:
                await SayAsync(page, read, SaidState.Done).ConfigureAwait(false);
                break;
            case WorkAnswer.PutOff:
                await SayAsync(page, read, SaidState.PutOff).ConfigureAwait(false);
                break;
            case WorkAnswer.NotNeeded:
                await SayAsync(page, read, SaidState.NotNeeded).ConfigureAwait(false);
                break;
            case WorkAnswer.TakeBack:
                if (await StandingAsync(page, read).ConfigureAwait(false) is { } standing)
                {
                    await answers.UndoAsync(read.Grower, standing.Id, page.Now, page.Stopped).ConfigureAwait(false);
                }

                break;
            case WorkAnswer.Stop:
                await store.Stops.StopAsync(read.Grower.Name, StoppedBy.Grower, page.Now, page.Stopped).ConfigureAwait(false);
                break;
            case WorkAnswer.Resume:
                await store.Stops.ResumeAsync(read.Grower.Name, page.Stopped).ConfigureAwait(false);
                break;
            default:
                throw new System.Diagnostics.UnreachableException();
        }
    }

    /// <summary>Answers once: the same link pressed twice is one answer.</summary>
    private async Task SayAsync(PageContext page, ReadLink read, SaidState state)
    {
        NotedAnswer? standing = await StandingAsync(page, read).ConfigureAwait(false);
        if (standing is null || standing.Answer.State != state)
        {
            await answers.AnswerAsync(read.Grower, read.Advice!.ToAdvice(), read.Advice.Grafts, state, settings.Current.Morning.Handbook, page.Now, page.Stopped).ConfigureAwait(false);
        }
    }

    /// <summary>The newest answer to the whole line that counts since the line was said.</summary>
    private async Task<NotedAnswer?> StandingAsync(PageContext page, ReadLink read)
    {
        SaidAdvice advice = read.Advice!;
        IReadOnlyList<NotedAnswer> given = await store.Answers.LoadAnswersAsync(read.Grower.Name, advice.SaidAt, page.Stopped).ConfigureAwait(false);
        return given.FirstOrDefault(noted => noted.UndoneAt is null
            && noted.Answer.Answers(advice.Action, advice.Hazard)
            && !advice.Grafts.Except(noted.Answer.Grafts, StringComparer.Ordinal).Any());
    }

    private async Task<ReadLink?> ReadAsync(PageContext page)
    {
        ActionLinks reader = await links.ReaderAsync().ConfigureAwait(false);
        LinkState state = reader.TryRead(page.Route("token"), page.Now, out ActionLink? link);
        if (state == LinkState.Foreign || await directory.FindByNameAsync(link!.Grower, page.Stopped).ConfigureAwait(false) is not { } known)
        {
            return null;
        }

        SaidAdvice? advice = link.Advice.Length == 0 ? null : await store.SaidAdvice.FindAsync(known.Grower.Name, link.Advice, page.Stopped).ConfigureAwait(false);
        return new ReadLink(state, link, known.Grower, advice);
    }

    private async Task<Uri?> UndoOfAsync(PageContext page, ActionLink link)
    {
        WorkAnswer? back = link.Answer switch
        {
            WorkAnswer.Done or WorkAnswer.PutOff or WorkAnswer.NotNeeded => WorkAnswer.TakeBack,
            WorkAnswer.Stop => WorkAnswer.Resume,
            WorkAnswer.Resume => WorkAnswer.Stop,
            _ => null,
        };
        return back is { } answer ? (await links.ReaderAsync().ConfigureAwait(false)).For(link with { Answer = answer, Ends = page.Now + UndoLife }) : null;
    }

    private PageAnswer Foreign(PageContext page) => limits.MayGuess(page.Http)
        ? Answer(StatusCodes.Status404NotFound, ActionPages.Foreign())
        : page.Problem(StatusCodes.Status429TooManyRequests);

    private static PageAnswer Answer(int status, string html)
    {
        PageAnswer answer = PageAnswer.Html(status, html);
        foreach ((string name, string value) in ActionPages.Headers)
        {
            answer.With(name, value);
        }

        return answer;
    }

    private sealed record ReadLink(LinkState State, ActionLink Link, Grower Grower, SaidAdvice? Advice)
    {
        /// <summary>Ended by its date, or about work that no letter of late has said.</summary>
        internal bool IsOver => State == LinkState.Ended || (IsWork && Advice is null);

        internal string Words => Advice?.Words ?? string.Empty;

        private bool IsWork => Link.Answer is WorkAnswer.Done or WorkAnswer.PutOff or WorkAnswer.NotNeeded or WorkAnswer.TakeBack;
    }
}
