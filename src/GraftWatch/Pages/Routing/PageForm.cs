using GraftWatch.Pages.Language;
using Microsoft.AspNetCore.Http.Features;
using Microsoft.Extensions.Primitives;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Pages.Routing;

/// <summary>A form as it was sent or as it is first shown, with what is wrong in it, field by field.</summary>
/// <remarks>A handler reads each field, and when <see cref="IsSound"/> is false shows the same page again: the fields keep what was typed and say what is wrong beside it.</remarks>
internal sealed class PageForm
{
    private static readonly FormOptions Limits = new()
    {
        ValueCountLimit = 2048,
        KeyLengthLimit = 256,
        ValueLengthLimit = 64 * 1024,
        MultipartBodyLengthLimit = PageRoutes.UploadLimit,
        MultipartHeadersCountLimit = 16,
        MultipartHeadersLengthLimit = 4096,
        MultipartBoundaryLengthLimit = 128,
        MemoryBufferThreshold = (int)PageRoutes.UploadLimit,
    };

    private readonly Phrases words;
    private readonly IFormCollection? sent;
    private readonly Dictionary<string, string> put = new(StringComparer.Ordinal);
    private readonly Dictionary<string, string> shown = new(StringComparer.Ordinal);
    private readonly Dictionary<string, string> faults = new(StringComparer.Ordinal);

    private PageForm(Phrases words, IFormCollection? sent)
    {
        this.words = words;
        this.sent = sent;
    }

    /// <summary>Whether nothing is wrong so far.</summary>
    internal bool IsSound => faults.Count == 0;

    /// <summary>What is wrong, by field.</summary>
    internal IReadOnlyDictionary<string, string> Faults => faults;

    /// <summary>Files that were sent with it.</summary>
    internal IFormFileCollection? Files => sent?.Files;

    /// <summary>A form nobody has sent yet.</summary>
    internal static PageForm Fresh(PageContext page) => new(page.Words, null);

    /// <summary>The form that was sent.</summary>
    internal static async Task<PageForm> ReadAsync(PageContext page)
    {
        HttpRequest request = page.Http.Request;
        if (!request.HasFormContentType)
        {
            return new PageForm(page.Words, FormCollection.Empty);
        }

        // The first reading counts: the form token was looked for in the same form.
        if (page.Http.Features.Get<IFormFeature>() is not FormFeature)
        {
            page.Http.Features.Set<IFormFeature>(new FormFeature(request, Limits));
        }

        return new PageForm(page.Words, await request.ReadFormAsync(page.Stopped).ConfigureAwait(false));
    }

    /// <summary>What a field shows when the form is first seen.</summary>
    internal PageForm With(string field, string? value)
    {
        shown[field] = value ?? string.Empty;
        return this;
    }

    /// <summary>Puts something into a field in place of what was sent, for the form that comes back.</summary>
    internal PageForm Put(string field, string value)
    {
        put[field] = value;
        return this;
    }

    /// <summary>What stands in a field: as typed, else as first shown.</summary>
    internal string Raw(string field) => put.TryGetValue(field, out string? ours) ? ours : sent is null ? shown.GetValueOrDefault(field, string.Empty) : sent[field].ToString();

    /// <summary>All values of a field, such as ticked boxes.</summary>
    internal IReadOnlyList<string> All(string field) => sent is null ? [] : [.. sent[field].Where(value => !string.IsNullOrEmpty(value)).Select(value => value!)];

    /// <summary>Whether a box is ticked.</summary>
    internal bool Flag(string field) => sent is null ? shown.GetValueOrDefault(field) == "on" : !StringValues.IsNullOrEmpty(sent[field]);

    /// <summary>Says what is wrong with a field; the first word stands.</summary>
    internal PageForm Fault(string field, string why)
    {
        faults.TryAdd(field, why);
        return this;
    }

    /// <summary>A line of text, trimmed, without controls.</summary>
    internal string Text(string field, int limit, bool required = false)
    {
        string value = Raw(field).Trim();
        if (value.Length == 0 && required)
        {
            Fault(field, words.Say("form.needed"));
        }
        else if (value.Length > limit)
        {
            Fault(field, words.Say("form.too-long", limit.ToString(System.Globalization.CultureInfo.InvariantCulture)));
        }
        else if (value.Any(letter => char.IsControl(letter)) || !IsPaired(value))
        {
            Fault(field, words.Say("form.controls"));
        }

        return value;
    }

    /// <summary>A number within bounds; NaN when the field is empty or wrong.</summary>
    internal double Number(string field, double least, double most, bool required = false)
    {
        string typed = Raw(field).Trim();
        if (typed.Length == 0)
        {
            if (required)
            {
                Fault(field, words.Say("form.needed"));
            }

            return double.NaN;
        }

        if (Figures.Parse(typed) is not { } value)
        {
            Fault(field, words.Say("form.no-number"));
            return double.NaN;
        }

        if (value < least || value > most)
        {
            var figures = new Figures(default, words.Language);
            Fault(field, words.Say("form.out-of-range", figures.Number(least, least % 1 == 0 ? 0 : 2), figures.Number(most, most % 1 == 0 ? 0 : 2)));
            return double.NaN;
        }

        return value;
    }

    /// <summary>A local time such as 05:30; null when the field is empty or wrong.</summary>
    internal LocalTime? Time(string field, bool required = false)
    {
        string typed = Raw(field).Trim();
        if (typed.Length == 0 && !required)
        {
            return null;
        }

        ParseResult<LocalTime> time = LocalTimePattern.CreateWithInvariantCulture("H:mm").Parse(typed);
        if (!time.Success)
        {
            Fault(field, words.Say("form.no-time"));
        }

        return time.Success ? time.Value : null;
    }

    /// <summary>A day such as 2026-05-14; null when the field is empty or wrong.</summary>
    internal LocalDate? Day(string field, bool required = false)
    {
        string typed = Raw(field).Trim();
        if (typed.Length == 0 && !required)
        {
            return null;
        }

        ParseResult<LocalDate> day = LocalDatePattern.Iso.Parse(typed);
        if (!day.Success)
        {
            Fault(field, words.Say("form.no-day"));
        }

        return day.Success ? day.Value : null;
    }

    /// <summary>One of a closed list; the first when something else was sent.</summary>
    internal T Choice<T>(string field, IReadOnlyList<(string Word, T Value)> choices)
    {
        string typed = Raw(field);
        foreach ((string word, T value) in choices)
        {
            if (word == typed)
            {
                return value;
            }
        }

        Fault(field, words.Say("form.no-choice"));
        return choices[0].Value;
    }

    private static bool IsPaired(string text) => text.EnumerateRunes().All(rune => rune != System.Text.Rune.ReplacementChar);
}
