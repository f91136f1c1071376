using Microsoft.Net.Http.Headers;

namespace GraftWatch.Pages.Language;

/// <summary>Languages the pages speak.</summary>
internal enum PageLanguage
{
    /// <summary>English.</summary>
    English = 0,

    /// <summary>German.</summary>
    German,
}

/// <summary>Words for languages.</summary>
internal static class PageLanguages
{
    /// <summary>The tag (RFC 5646) of a language.</summary>
    internal static string Tag(this PageLanguage language) => language switch
    {
        PageLanguage.English => "en",
        PageLanguage.German => "de",
        _ => throw new System.Diagnostics.UnreachableException(),
    };

    /// <summary>The language with a tag such as <c>de</c> or <c>de-AT</c>; null when the pages do not speak it.</summary>
    internal static PageLanguage? Find(string? tag)
    {
        string primary = (tag ?? string.Empty).Split('-')[0].Trim();
        foreach (PageLanguage language in Enum.GetValues<PageLanguage>())
        {
            if (string.Equals(language.Tag(), primary, StringComparison.OrdinalIgnoreCase))
            {
                return language;
            }
        }

        return null;
    }

    /// <summary>What the browser would like most among what we speak (RFC 9110, 12.5.4); English when it likes none.</summary>
    internal static PageLanguage Preferred(string? acceptLanguage)
    {
        if (acceptLanguage is null || acceptLanguage.Length > 512 || !StringWithQualityHeaderValue.TryParseList([acceptLanguage], out IList<StringWithQualityHeaderValue>? wishes))
        {
            return PageLanguage.English;
        }

        return wishes.Where(wish => wish.Quality is null or > 0)
            .OrderByDescending(wish => wish.Quality ?? 1)
            .Select(wish => Find(wish.Value.Value))
            .FirstOrDefault(language => language is not null) ?? PageLanguage.English;
    }
}
