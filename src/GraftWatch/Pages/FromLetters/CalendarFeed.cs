using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using GraftWatch.Letters.Calendar;
using GraftWatch.Pages.Routing;
using GraftWatch.Pages.Security;
using GraftWatch.Records;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Pages.FromLetters;

/// <summary>The calendar a program fetches by itself. Its address is its proof; a new one makes the old one end.</summary>
internal sealed class CalendarFeed(RecordsStore store, SiteSecret secret, Limits limits) : IPageGroup
{
    private const string Folder = "/calendar/";
    private const string End = ".ics";
    private const int DaysBack = 14;

    public void Map(PageRoutes routes) => routes.GetByAddress(Folder + "{token}", ShowAsync);

    /// <summary>The path of a grower's feed; null while they have none.</summary>
    internal async Task<string?> PathOfAsync(string grower, CancellationToken cancellationToken) =>
        await store.Feeds.FindAsync(grower, cancellationToken).ConfigureAwait(false) is { } number
            ? Folder + await TokenAsync(grower, number).ConfigureAwait(false) + End
            : null;

    private async Task<PageAnswer> ShowAsync(PageContext page)
    {
        if (await GrowerOfAsync(page).ConfigureAwait(false) is not { } grower)
        {
            return limits.MayGuess(page.Http)
                ? PageAnswer.Plain(StatusCodes.Status404NotFound, "There is no such calendar.\n")
                : page.Problem(StatusCodes.Status429TooManyRequests);
        }

        byte[] calendar = Encoding.UTF8.GetBytes(CalendarWriter.Feed(await TasksAsync(grower, page).ConfigureAwait(false), "GraftWatch " + grower));
        string tag = $"\"{Convert.ToHexStringLower(SHA256.HashData(calendar).AsSpan(0, 16))}\"";
        bool known = page.Http.Request.Headers.IfNoneMatch.Any(seen => seen is not null && seen.Contains(tag, StringComparison.Ordinal));
        return (known ? PageAnswer.Empty(StatusCodes.Status304NotModified) : PageAnswer.Bytes(calendar, "text/calendar; charset=utf-8"))
            .With("ETag", tag)
            .With("Cache-Control", "private, max-age=900");
    }

    /// <summary>A token is the grower's name and a digest, so that it is found without a list of all tokens.</summary>
    private async Task<string?> GrowerOfAsync(PageContext page)
    {
        string token = page.Route("token");
        int point = token.IndexOf('.', StringComparison.Ordinal);
        if (point <= 0 || token.Length > 512 || !token.EndsWith(End, StringComparison.Ordinal))
        {
            return null;
        }

        string name = Tokens.Word(token[..point]);
        return name.Length > 0 && !name.Contains('\0', StringComparison.Ordinal)
            && await store.Feeds.FindAsync(name, page.Stopped).ConfigureAwait(false) is { } number
            && Tokens.AreEqual(token[..^End.Length], await TokenAsync(name, number).ConfigureAwait(false)) ? name : null;
    }

    private async Task<string> TokenAsync(string grower, int number)
    {
        byte[] key = await secret.KeyAsync("calendar feed 1").ConfigureAwait(false);
        return Tokens.Letters(grower) + "." + Tokens.Seal(key, string.Create(CultureInfo.InvariantCulture, $"{number}\n{grower}"));
    }

    /// <summary>What the newest letter's calendar part says: each letter carries on the one before it.</summary>
    private async Task<IReadOnlyList<CalendarTask>> TasksAsync(string grower, PageContext page)
    {
        LocalDate newest = page.Now.InUtc().Date.PlusDays(1);
        for (int back = 0; back <= DaysBack; back++)
        {
            if (await store.Ledger.FindAsync(new LetterSlot(grower, newest.PlusDays(-back), LetterKind.Morning), page.Stopped).ConfigureAwait(false) is { } entry)
            {
                return CalendarReader.Of(entry.Letter);
            }
        }

        return [];
    }
}
