using GraftWatch.Pages.Routing;
using GraftWatch.Pages.Security;

namespace GraftWatch.Pages.Rendering;

/// <summary>Forms and their fields: label above, hint below it, what is wrong beside the field and tied to it.</summary>
internal static class Forms
{
    /// <summary>A form that acts, with its hidden token.</summary>
    /// <param name="html">The page.</param>
    /// <param name="page">The request.</param>
    /// <param name="path">Where it is sent.</param>
    /// <param name="content">Writes the fields.</param>
    /// <param name="hasFile">Whether it carries a file.</param>
    internal static void Form(this Html html, PageContext page, string path, Action content, bool hasFile = false)
    {
        using (html.In("form", ("method", "post"), ("action", page.To(path)), ("enctype", hasFile ? "multipart/form-data" : null)))
        {
            html.Void("input", ("type", "hidden"), ("name", FormSeal.Field), ("value", page.FormToken()));
            content();
        }
    }

    /// <summary>A form that only asks, such as a filter: sent by GET, without a token.</summary>
    internal static void Search(this Html html, PageContext page, string path, Action content)
    {
        using (html.In("form", ("method", "get"), ("action", page.To(path)), ("class", "search")))
        {
            content();
        }
    }

    /// <summary>A button that sends its form.</summary>
    /// <param name="html">The page.</param>
    /// <param name="words">What it does.</param>
    /// <param name="style">Class: nothing for the main one, <c>second</c>, <c>quiet</c> or <c>grave</c>.</param>
    /// <param name="name">Name, where a form has several buttons.</param>
    /// <param name="value">Value sent for the name.</param>
    internal static void Button(this Html html, string words, string? style = null, string? name = null, string? value = null) =>
        html.Leaf("button", words, ("type", "submit"), ("class", style), ("name", name), ("value", value));

    /// <summary>A hidden value.</summary>
    internal static void Hidden(this Html html, string name, string value) => html.Void("input", ("type", "hidden"), ("name", name), ("value", value));

    /// <summary>A line of text.</summary>
    internal static void TextField(this Html html, PageForm form, string name, string label, FieldLook? look = null)
    {
        FieldLook how = look ?? new FieldLook();
        using (html.In("div", ("class", form.Faults.ContainsKey(name) ? "field wrong" : "field")))
        {
            Label(html, name, label, how.Hint);
            html.Void(
                "input",
                ("type", how.Type),
                ("id", Id(name)),
                ("name", name),
                ("value", form.Raw(name)),
                ("inputmode", how.InputMode),
                ("autocomplete", how.AutoComplete ?? "off"),
                ("required", how.IsRequired ? string.Empty : null),
                ("maxlength", how.Limit?.ToString(System.Globalization.CultureInfo.InvariantCulture)),
                ("aria-invalid", form.Faults.ContainsKey(name) ? "true" : null),
                ("aria-describedby", DescribedBy(form, name, how.Hint)));
            Fault(html, form, name);
        }
    }

    /// <summary>Several lines of text.</summary>
    internal static void LinesField(this Html html, PageForm form, string name, string label, string? hint = null, int rows = 4)
    {
        using (html.In("div", ("class", form.Faults.ContainsKey(name) ? "field wrong" : "field")))
        {
            Label(html, name, label, hint);
            html.Leaf(
                "textarea",
                form.Raw(name),
                ("id", Id(name)),
                ("name", name),
                ("rows", rows.ToString(System.Globalization.CultureInfo.InvariantCulture)),
                ("aria-invalid", form.Faults.ContainsKey(name) ? "true" : null),
                ("aria-describedby", DescribedBy(form, name, hint)));
            Fault(html, form, name);
        }
    }

    /// <summary>One of a list.</summary>
    internal static void ChoiceField(this Html html, PageForm form, string name, string label, IEnumerable<(string Word, string Label)> choices, string? hint = null)
    {
        string chosen = form.Raw(name);
        using (html.In("div", ("class", form.Faults.ContainsKey(name) ? "field wrong" : "field")))
        {
            Label(html, name, label, hint);
            using (html.In("select", ("id", Id(name)), ("name", name), ("aria-invalid", form.Faults.ContainsKey(name) ? "true" : null), ("aria-describedby", DescribedBy(form, name, hint))))
            {
                foreach ((string word, string words) in choices)
                {
                    html.Leaf("option", words, ("value", word), ("selected", word == chosen ? string.Empty : null));
                }
            }

            Fault(html, form, name);
        }
    }

    /// <summary>A box to tick.</summary>
    internal static void TickField(this Html html, PageForm form, string name, string label, string? hint = null)
    {
        using (html.In("div", ("class", "field tick")))
        {
            using (html.In("label"))
            {
                html.Void("input", ("type", "checkbox"), ("name", name), ("value", "on"), ("checked", form.Flag(name) ? string.Empty : null), ("aria-describedby", hint is null ? null : HintId(name)));
                html.Leaf("span", label);
            }

            if (hint is not null)
            {
                html.Leaf("p", hint, ("class", "hint"), ("id", HintId(name)));
            }

            Fault(html, form, name);
        }
    }

    /// <summary>A file to send.</summary>
    internal static void FileField(this Html html, PageForm form, string name, string label, string accept, string? hint = null)
    {
        using (html.In("div", ("class", form.Faults.ContainsKey(name) ? "field wrong" : "field")))
        {
            Label(html, name, label, hint);
            html.Void("input", ("type", "file"), ("id", Id(name)), ("name", name), ("accept", accept), ("aria-describedby", DescribedBy(form, name, hint)));
            Fault(html, form, name);
        }
    }

    /// <summary>Above a form that came back: how many fields want mending, for who cannot see them at once.</summary>
    internal static void FaultSummary(this Html html, PageContext page, PageForm form)
    {
        if (!form.IsSound)
        {
            html.Leaf("p", page.Count("form.faults", form.Faults.Count), ("class", "alarm"), ("role", "alert"));
        }
    }

    private static void Label(Html html, string name, string label, string? hint)
    {
        html.Leaf("label", label, ("for", Id(name)));
        if (hint is not null)
        {
            html.Leaf("p", hint, ("class", "hint"), ("id", HintId(name)));
        }
    }

    private static void Fault(Html html, PageForm form, string name)
    {
        if (form.Faults.TryGetValue(name, out string? why))
        {
            html.Leaf("p", why, ("class", "fault"), ("id", FaultId(name)));
        }
    }

    private static string? DescribedBy(PageForm form, string name, string? hint) => (hint is not null, form.Faults.ContainsKey(name)) switch
    {
        (true, true) => $"{HintId(name)} {FaultId(name)}",
        (true, false) => HintId(name),
        (false, true) => FaultId(name),
        _ => null,
    };

    private static string Id(string name) => "f-" + name;

    private static string HintId(string name) => "h-" + name;

    private static string FaultId(string name) => "w-" + name;
}

/// <summary>How a line of text is asked for.</summary>
/// <param name="Hint">What to write and why it matters; null for nothing.</param>
/// <param name="Type">HTML type: <c>text</c>, <c>email</c>, <c>url</c>, <c>time</c>, <c>date</c>.</param>
/// <param name="InputMode">Keyboard of a phone, such as <c>decimal</c>; null for the usual one.</param>
/// <param name="AutoComplete">What the browser may fill in, such as <c>email</c>; null for nothing.</param>
/// <param name="IsRequired">Whether it must be filled.</param>
/// <param name="Limit">Most characters; null for no bound in the browser.</param>
internal sealed record FieldLook(string? Hint = null, string Type = "text", string? InputMode = null, string? AutoComplete = null, bool IsRequired = false, int? Limit = null);
