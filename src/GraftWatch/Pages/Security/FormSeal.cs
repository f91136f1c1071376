using System.Globalization;
using GraftWatch.Pages.People;
using GraftWatch.Pages.Routing;

namespace GraftWatch.Pages.Security;

/// <summary>Tells our own forms from forged ones: a hidden field that only who holds the browser's cookie and session can know.</summary>
internal sealed class FormSeal(SiteSecret secret)
{
    /// <summary>Name of the hidden field.</summary>
    internal const string Field = "_form";

    private byte[]? key;

    /// <summary>Loads the key; asked for before the first form is written.</summary>
    internal async ValueTask ReadyAsync() => key ??= await secret.KeyAsync("forms 1").ConfigureAwait(false);

    /// <summary>The field's value for this browser and session.</summary>
    internal string Issue(HttpContext http, SignedIn? who)
    {
        string? visit = PageCookies.Visit(http);
        if (!Tokens.IsShaped(visit))
        {
            visit = http.Items[typeof(FormSeal)] as string ?? Tokens.Fresh();
            if (http.Items.TryAdd(typeof(FormSeal), visit))
            {
                PageCookies.SetVisit(http, visit);
            }
        }

        return Make(visit!, who);
    }

    /// <summary>Whether the form that was sent is one we wrote for this browser and session.</summary>
    internal async Task<bool> HoldsAsync(PageContext page)
    {
        if (PageCookies.Visit(page.Http) is not { } visit || !Tokens.IsShaped(visit))
        {
            return false;
        }

        PageForm form = await page.ReadFormAsync().ConfigureAwait(false);
        return Tokens.AreEqual(form.Raw(Field), Make(visit, page.Who));
    }

    private string Make(string visit, SignedIn? who) =>
        Tokens.Seal(key ?? throw new InvalidOperationException("The key of the forms was not loaded."), string.Create(CultureInfo.InvariantCulture, $"{visit}\n{who?.Session}"));
}
