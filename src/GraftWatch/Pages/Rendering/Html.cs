using System.Text;
using System.Text.Encodings.Web;
using System.Text.Unicode;

namespace GraftWatch.Pages.Rendering;

/// <summary>Writes a page. Text and attribute values are always encoded; what is opened is closed by its scope.</summary>
/// <remarks>Element and attribute names are ours and never come from a request or a register.</remarks>
internal sealed class Html
{
    private static readonly HtmlEncoder Encoder = HtmlEncoder.Create(UnicodeRanges.All);
    private readonly StringBuilder text = new(8 * 1024);
    private readonly Stack<string> open = new();

    /// <summary>Opens an element until the scope ends: <c>using (html.In("ul")) { … }</c>.</summary>
    /// <param name="element">Name.</param>
    /// <param name="attributes">A null value leaves an attribute out, an empty one writes its name alone.</param>
    internal Scope In(string element, params ReadOnlySpan<(string Name, string? Value)> attributes)
    {
        Tag(element, attributes);
        open.Push(element);
        return new Scope(this);
    }

    /// <summary>An element with text and nothing else.</summary>
    internal Html Leaf(string element, string words, params ReadOnlySpan<(string Name, string? Value)> attributes)
    {
        Tag(element, attributes);
        text.Append(Encoder.Encode(words)).Append("</").Append(element).Append(">\n");
        return this;
    }

    /// <summary>An element that has no content, such as <c>input</c>.</summary>
    internal Html Void(string element, params ReadOnlySpan<(string Name, string? Value)> attributes)
    {
        Tag(element, attributes);
        return this;
    }

    /// <summary>Text.</summary>
    internal Html Text(string words)
    {
        text.Append(Encoder.Encode(words));
        return this;
    }

    /// <summary>A paragraph.</summary>
    internal Html Paragraph(string words, string? style = null) => Leaf("p", words, ("class", style));

    /// <summary>A link to a page of ours.</summary>
    /// <param name="target">Address as <c>PageContext.To</c> makes it.</param>
    /// <param name="words">What the link says.</param>
    /// <param name="style">Class, such as <c>button</c>.</param>
    internal Html Link(string target, string words, string? style = null) => Leaf("a", words, ("href", target), ("class", style));

    /// <summary>A finished drawing of our own, such as an SVG; nothing from outside may come here unencoded.</summary>
    internal Html Drawing(string markup)
    {
        text.Append(markup);
        return this;
    }

    /// <summary>The page; everything must be closed.</summary>
    public override string ToString() => open.Count == 0
        ? text.ToString()
        : throw new InvalidOperationException("Not closed: " + string.Join(", ", open));

    /// <summary>The text of an attribute or element, encoded, for drawings.</summary>
    internal static string Encode(string words) => Encoder.Encode(words);

    private void Tag(string element, ReadOnlySpan<(string Name, string? Value)> attributes)
    {
        text.Append('<').Append(element);
        foreach ((string name, string? value) in attributes)
        {
            if (value is not null)
            {
                text.Append(' ').Append(name);
                if (value.Length > 0)
                {
                    text.Append("=\"").Append(Encoder.Encode(value)).Append('"');
                }
            }
        }

        text.Append('>');
    }

    private void Close() => text.Append("</").Append(open.Pop()).Append(">\n");

    /// <summary>Closes its element.</summary>
    internal readonly ref struct Scope(Html html)
    {
        /// <summary>Closes the element.</summary>
        public void Dispose() => html.Close();
    }
}
