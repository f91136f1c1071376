using GraftWatch.Pages.Language;
using GraftWatch.Pages.Routing;
using GraftWatch.Pages.Security;
using GraftWatch.Records;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Pages.People;

/// <summary>Meets who asks: reads the session, finds their grower, language and rights.</summary>
internal sealed class Visitors(RecordsStore store, GrowerDirectory directory, FormSeal seal, Func<SiteOptions> site, MachineDesk machine, TimeProvider clock)
{
    private static readonly Duration NoteAfter = Duration.FromHours(1);

    /// <summary>The request as pages see it.</summary>
    /// <param name="http">The request.</param>
    /// <param name="ignoreCookies">Whether the address alone is the proof.</param>
    internal async Task<PageContext> MeetAsync(HttpContext http, bool ignoreCookies = false)
    {
        Instant now = Instant.FromDateTimeOffset(clock.GetUtcNow());
        SiteOptions options = site();
        await seal.ReadyAsync().ConfigureAwait(false);
        SignedIn? who = ignoreCookies ? null : await WhoAsync(http, options, now).ConfigureAwait(false) ?? machine.Who(http, options);
        return new PageContext(http, options, seal, who, now);
    }

    /// <summary>A page for a stranger, for when meeting itself fails.</summary>
    internal async Task<PageContext> StrangerAsync(HttpContext http)
    {
        await seal.ReadyAsync().ConfigureAwait(false);
        return new PageContext(http, site(), seal, null, Instant.FromDateTimeOffset(clock.GetUtcNow()));
    }

    /// <summary>Whether an address belongs to somebody who may sign in.</summary>
    internal async Task<bool> IsKnownAsync(string address, CancellationToken cancellationToken) =>
        await HasLettersAsync(address, cancellationToken).ConfigureAwait(false)
        || await store.People.FindAsync(address, cancellationToken).ConfigureAwait(false) is { ConfirmedAt: not null };

    /// <summary>Whether an address is the operator's or gets a grower's letters already.</summary>
    internal async Task<bool> HasLettersAsync(string address, CancellationToken cancellationToken) =>
        IsOperator(site(), address) || await directory.FindByAddressAsync(address, cancellationToken).ConfigureAwait(false) is not null;

    private async Task<SignedIn?> WhoAsync(HttpContext http, SiteOptions options, Instant now)
    {
        if (PageCookies.Session(http) is not { } token || !Tokens.IsShaped(token))
        {
            return null;
        }

        byte[] hash = Tokens.Hash(token);
        if (await store.People.FindSessionAsync(hash, now, http.RequestAborted).ConfigureAwait(false) is not { } session)
        {
            return null;
        }

        if (now - session.SeenAt > NoteAfter)
        {
            await store.People.SeeAsync(session.Id, now, http.RequestAborted).ConfigureAwait(false);
            PageCookies.SetSession(http, token, TimeSpan.FromDays(PageSession.IdleDays));
        }

        KnownGrower? known = await directory.FindByAddressAsync(session.Address, http.RequestAborted).ConfigureAwait(false);
        Person? person = await store.People.FindAsync(session.Address, http.RequestAborted).ConfigureAwait(false);
        string? language = person?.Language ?? (known is { IsKeptInFile: true } ? directory.LanguageInFile(known.Grower.Name) : null);
        return new SignedIn(session.Address, session.Id, known?.Grower, IsOperator(options, session.Address), known is { IsKeptInFile: true }, PageLanguages.Find(language));
    }

    private static bool IsOperator(SiteOptions options, string address) =>
        string.Equals(options.OperatorAddress, address, StringComparison.OrdinalIgnoreCase);
}
