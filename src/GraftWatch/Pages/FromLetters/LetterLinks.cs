using GraftWatch.Letters.Links;
using GraftWatch.Pages.Security;

namespace GraftWatch.Pages.FromLetters;

/// <summary>Reads the links of letters with the installation's secret, and makes the ones that lead back.</summary>
internal sealed class LetterLinks(SiteSecret secret, Func<SiteOptions> site, OwnAddress own)
{
    private volatile Known? made;

    /// <summary>For the public address of now.</summary>
    internal async ValueTask<ActionLinks> ReaderAsync()
    {
        Uri address = site().PublicAddress ?? own.Root;
        if (made is not { } known || known.Address != address)
        {
            known = new Known(address, new ActionLinks(address, [await secret.RootAsync().ConfigureAwait(false)]));
            made = known;
        }

        return known.Links;
    }

    private sealed record Known(Uri Address, ActionLinks Links);
}
