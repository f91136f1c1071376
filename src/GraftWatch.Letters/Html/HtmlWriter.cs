using System.Text;
using System.Text.Encodings.Web;
using System.Text.Unicode;

namespace GraftWatch.Letters.Html;

/// <summary>Writes HTML in which text is always encoded and every element is closed.</summary>
internal sealed class HtmlWriter
{
    private static readonly HtmlEncoder Encoder = HtmlEncoder.Create(UnicodeRanges.All);
    private readonly StringBuilder html = new();
    private readonly Stack<string> open = new();

    /// <summary>Opens an element; attribute values are encoded, names are ours.</summary>
    public HtmlWriter Open(string element, params ReadOnlySpan<(string Name, string? Value)> attributes)
    {
        Tag(element, attributes);
        open.Push(element);
        return this;
    }

    /// <summary>An element without content, such as <c>meta</c>.</summary>
    public HtmlWriter Void(string element, params ReadOnlySpan<(string Name, string? Value)> attributes)
    {
        Tag(element, attributes);
        return this;
    }

    /// <summary>Closes the innermost element.</summary>
    public HtmlWriter Close()
    {
        html.Append("</").Append(open.Pop()).Append(">\n");
        return this;
    }

    /// <summary>Text, encoded.</summary>
    public HtmlWriter Text(string text)
    {
        html.Append(Encoder.Encode(text));
        return this;
    }

    /// <summary>Style rules of our own; nothing from outside may come here.</summary>
    public HtmlWriter Rules(string css)
    {
        html.Append("<style>\n").Append(css).Append("</style>\n");
        return this;
    }

    /// <summary>An element with text.</summary>
    public HtmlWriter Element(string element, string text, params ReadOnlySpan<(string Name, string? Value)> attributes)
    {
        Open(element, attributes);
        Text(text);
        return Close();
    }

    /// <summary>The document; all elements must be closed.</summary>
    public override string ToString() => open.Count == 0
        ? "<!DOCTYPE html>\n" + html
        : throw new InvalidOperationException("Not closed: " + string.Join(", ", open));

    private void Tag(string element, ReadOnlySpan<(string Name, string? Value)> attributes)
    {
        html.Append('<').Append(element);
        foreach ((string name, string? value) in attributes)
        {
            if (value is not null)
            {
                html.Append(' ').Append(name).Append("=\"").Append(Encoder.Encode(value)).Append('"');
            }
        }

        html.Append('>');
    }
}
