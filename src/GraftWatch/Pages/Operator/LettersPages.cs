using System.Globalization;
using System.Text.RegularExpressions;
using GraftWatch.Letters.Links;
using GraftWatch.Pages.Language;
using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using GraftWatch.Records;
using GraftWatch.Records.Housekeeping;
using GraftWatch.Rounds.Ports;
using GraftWatch.Serving;
using MimeKit;

namespace GraftWatch.Pages.Operator;

/// <summary>Letters: how far each has come and what the servers said; one letter's own page shows its text as it was sealed.</summary>
internal sealed partial class LettersPages(RecordsStore store, SettingsInForce settings) : IPageGroup
{
    private const int PageSize = 50;
    private const int LongestText = 30_000;

    private static readonly (string Word, ShelfState Value)[] States =
        [("any", ShelfState.Any), ("waiting", ShelfState.Waiting), ("handed-over", ShelfState.HandedOver), ("given-up", ShelfState.GivenUp), ("too-late", ShelfState.TooLate)];

    public void Map(PageRoutes routes)
    {
        routes.Get("/operator/letters", Access.Operator, ShowAsync);
        routes.Get("/operator/letters/{id}", Access.Operator, ShowOneAsync);
    }

    /// <summary>Letters as a table.</summary>
    internal static void List(Html html, PageContext page, Days days, IReadOnlyList<ShelvedLetter> letters, bool withGrower)
    {
        if (letters.Count == 0)
        {
            html.Paragraph(page.Say("operator.no-letters"));
            return;
        }

        string[] columns = [page.Say("operator.letter-day"), .. withGrower ? new[] { page.Say("operator.name") } : [], page.Say("operator.letter-subject"), page.Say("operator.way"), page.Say("operator.letter-state")];
        html.Table(columns, () =>
        {
            foreach (ShelvedLetter letter in letters)
            {
                SealedLetter one = letter.Entry.Letter;
                using (html.In("tr"))
                {
                    html.Cell(columns[0], $"{days.Short(one.Slot.Date)}, {LetterWords.Kind(page, one.Slot)}");
                    if (withGrower)
                    {
                        html.LinkCell(columns[1], page.To(OperatorView.PathOf(one.Slot.Grower)), one.Slot.Grower);
                    }

                    html.LinkCell(page.Say("operator.letter-subject"), page.To("/operator/letters/" + OperatorView.Number(letter.Id)), one.Subject);
                    html.Cell(page.Say("operator.way"), LetterWords.Channel(page, one.Slot.Channel));
                    html.Cell(page.Say("operator.letter-state"), LetterWords.State(page, days, letter));
                }
            }
        });
    }

    private async Task<PageAnswer> ShowAsync(PageContext page)
    {
        string word = page.Query("state", 20);
        ShelfState state = States.FirstOrDefault(one => one.Word == word, States[0]).Value;
        string grower = new([.. page.Query("grower").Trim().Where(letter => !char.IsControl(letter))]);
        long? before = long.TryParse(page.Query("before", 19), NumberStyles.None, CultureInfo.InvariantCulture, out long id) ? id : null;
        var wish = new ShelfWish { State = state, Grower = grower.Length == 0 ? null : grower, Before = before };
        IReadOnlyList<ShelvedLetter> letters = await store.Shelf.LoadAsync(wish, PageSize + 1, page.Stopped).ConfigureAwait(false);
        return OperatorView.Show(page, page.Say("operator.letters"), html =>
        {
            PageForm form = PageForm.Fresh(page).With("state", word.Length == 0 ? "any" : word).With("grower", grower);
            html.Search(page, "/operator/letters", () =>
            {
                html.ChoiceField(form, "state", page.Say("operator.letter-state"), States.Select(one => (one.Word, page.Say("operator.state-" + one.Word))));
                html.TextField(form, "grower", page.Say("operator.name"), new FieldLook(Limit: 200));
                html.Button(page.Say("operator.filter-button"), "second");
            });
            List(html, page, OperatorView.DaysOf(page, settings.Current), [.. letters.Take(PageSize)], withGrower: true);
            Ways(html, page, wish, letters);
        });
    }

    private static void Ways(Html html, PageContext page, ShelfWish wish, IReadOnlyList<ShelvedLetter> letters)
    {
        if (wish.Before is null && letters.Count <= PageSize)
        {
            return;
        }

        QueryString kept = QueryString.Create(page.Http.Request.Query.Where(pair => pair.Key is "state" or "grower"));
        using (html.In("nav", ("class", "pager"), ("aria-label", page.Say("layout.pages"))))
        {
            if (wish.Before is not null)
            {
                html.Link(page.To("/operator/letters") + kept.ToUriComponent(), page.Say("operator.newest"));
            }

            if (letters.Count > PageSize)
            {
                html.Link(page.To("/operator/letters") + kept.Add("before", OperatorView.Number(letters[PageSize - 1].Id)).ToUriComponent(), page.Say("operator.older"));
            }
        }
    }

    private async Task<PageAnswer> ShowOneAsync(PageContext page)
    {
        if (!long.TryParse(page.Route("id"), NumberStyles.None, CultureInfo.InvariantCulture, out long id)
            || await store.Shelf.FindAsync(id, page.Stopped).ConfigureAwait(false) is not { } letter)
        {
            return page.Problem(StatusCodes.Status404NotFound);
        }

        IReadOnlyList<LetterTry> tries = await store.Shelf.LoadTriesAsync(id, page.Stopped).ConfigureAwait(false);
        IReadOnlyList<ShelvedLetter> copies = await store.Shelf.LoadCopiesAsync(id, page.Stopped).ConfigureAwait(false);
        Days days = OperatorView.DaysOf(page, settings.Current);
        SealedLetter one = letter.Entry.Letter;
        return OperatorView.Show(page, page.Say("operator.letter-of", one.Slot.Grower, days.Short(one.Slot.Date)), html =>
        {
            html.Paragraph(LetterWords.State(page, days, letter), "lead");
            Facts(html, page, days, letter);
            Tries(html, page, days, tries);
            if (copies.Count > 1)
            {
                html.Leaf("h2", page.Say("operator.copies"));
                List(html, page, days, copies, withGrower: false);
            }

            html.Leaf("h2", page.Say("operator.text"));
            if (one.BytesLetGo is { } size)
            {
                html.Paragraph(page.Say("operator.text-let-go", OperatorView.Number(Retention.Usual.BytesDays), OperatorView.Number((size + 1023) / 1024)));
            }
            else
            {
                Body(html, page, one);
            }
        });
    }

    private static void Facts(Html html, PageContext page, Days days, ShelvedLetter letter)
    {
        SealedLetter one = letter.Entry.Letter;
        using (html.In("dl"))
        {
            html.Leaf("dt", page.Say("operator.name"));
            using (html.In("dd"))
            {
                html.Link(page.To(OperatorView.PathOf(one.Slot.Grower)), one.Slot.Grower);
            }

            html.Fact(page.Say("operator.letter-kind"), page.Say("operator.letter-number", LetterWords.Kind(page, one.Slot), OperatorView.Number(one.Number)));
            html.Fact(page.Say("operator.letter-subject"), one.Subject);
            html.Fact(page.Say("operator.way"), LetterWords.Channel(page, one.Slot.Channel));
            html.Fact(page.Say("operator.recipient"), one.Recipient);
            html.Fact(page.Say("operator.sealed-at"), days.At(one.SealedAt));
            html.Fact(page.Say("operator.useful-until"), days.At(one.UsefulUntil ?? one.SealedAt + SealedLetter.UsualUse));
            html.Fact(page.Say("operator.message-id"), one.MessageId);
        }
    }

    private static void Tries(Html html, PageContext page, Days days, IReadOnlyList<LetterTry> tries)
    {
        html.Leaf("h2", page.Say("operator.tries"));
        if (tries.Count == 0)
        {
            html.Paragraph(page.Say("operator.no-tries"));
            return;
        }

        // A letter that waited for days has hundreds; the last ones tell.
        const int Shown = 60;
        if (tries.Count > Shown)
        {
            html.Paragraph(page.Count("operator.tries-before", tries.Count - Shown), "small");
        }

        string[] columns = [page.Say("operator.try"), page.Say("operator.try-at"), page.Say("operator.try-became"), page.Say("operator.try-said")];
        html.Table(columns, () =>
        {
            foreach (LetterTry one in tries.TakeLast(Shown))
            {
                using (html.In("tr"))
                {
                    html.Cell(columns[0], OperatorView.Number(one.Number), "number");
                    html.Cell(columns[1], days.At(one.At));
                    html.Cell(columns[2], LetterWords.Outcome(page, one.Result));
                    html.Cell(columns[3], one.Result.Detail, language: "en");
                }
            }
        });
    }

    private static void Body(Html html, PageContext page, SealedLetter letter)
    {
        string text = TextOf(letter);
        html.Leaf("pre", text.Length > LongestText ? text[..LongestText] : text, ("class", "letter"), ("lang", "en"), ("tabindex", "0"));
        if (text.Length > LongestText)
        {
            html.Paragraph(page.Say("operator.text-cut"), "small");
        }
    }

    private static string TextOf(SealedLetter letter)
    {
        if (letter.Slot.Channel != LetterSlot.Mail)
        {
            return WithoutLinks(System.Text.Encoding.UTF8.GetString(letter.Bytes.Span));
        }

        try
        {
            using var stream = new MemoryStream(letter.Bytes.ToArray());
            using MimeMessage message = MimeMessage.Load(stream);
            return WithoutLinks((message.BodyParts.OfType<TextPart>().FirstOrDefault(part => part.IsPlain)?.GetText(System.Text.Encoding.UTF8) ?? string.Empty).Replace("\r\n", "\n", StringComparison.Ordinal));
        }
        catch (FormatException)
        {
            // Bytes that are no message any more are shown as they are.
            return WithoutLinks(System.Text.Encoding.UTF8.GetString(letter.Bytes.Span));
        }
    }

    // Links that act are left out: who runs the program reads the letter, and answers nothing in the grower's name.
    private static string WithoutLinks(string text) => Acting().Replace(text, "…");

    [GeneratedRegex("https?://[^\\s\"<>]*" + ActionLinks.Path + "[A-Za-z0-9_-]+")]
    private static partial Regex Acting();
}
