using System.Collections.Frozen;
using System.Globalization;
using System.Text;

namespace GraftWatch.Pages.Language;

/// <summary>The words of the pages, read from <c>Phrases/subject.language.txt</c>.</summary>
/// <remarks>
/// A line is <c>subject.key = words</c>; a number sign starts a comment. <c>{0}</c> stands for the first value. A key that
/// counts has two lines, <c>key.one</c> and <c>key.many</c>. A test keeps the languages equal in keys and values.
/// </remarks>
internal sealed class Phrases
{
    private const string Folder = "phrases/";
    private static readonly Dictionary<PageLanguage, Phrases> Books = Enum.GetValues<PageLanguage>().ToDictionary(language => language, language => new Phrases(language, Read(language)));
    private readonly FrozenDictionary<string, string> words;

    private Phrases(PageLanguage language, Dictionary<string, string> words)
    {
        Language = language;
        this.words = words.ToFrozenDictionary(StringComparer.Ordinal);
    }

    /// <summary>Which language it is.</summary>
    internal PageLanguage Language { get; }

    /// <summary>All keys with their words.</summary>
    internal IReadOnlyDictionary<string, string> All => words;

    /// <summary>The words of a language.</summary>
    internal static Phrases In(PageLanguage language) => Books[language];

    /// <summary>Whether there is such a key.</summary>
    internal bool Has(string key) => words.ContainsKey(key);

    /// <summary>The words of a key with values in their places.</summary>
    /// <exception cref="KeyNotFoundException">There is no such key: a fault of the program, which a test finds.</exception>
    internal string Say(string key, params ReadOnlySpan<string> values)
    {
        if (!words.TryGetValue(key, out string? pattern))
        {
            throw new KeyNotFoundException($"No phrase '{key}'.");
        }

        return Fill(pattern, values);
    }

    /// <summary>The words for a number of things; the number itself is <c>{0}</c>, further values follow it.</summary>
    internal string Count(string key, int count, params ReadOnlySpan<string> values) =>
        Say(key + (count == 1 ? ".one" : ".many"), [count.ToString(CultureInfo.InvariantCulture), .. values]);

    private static string Fill(string pattern, ReadOnlySpan<string> values)
    {
        if (!pattern.Contains('{', StringComparison.Ordinal))
        {
            return pattern;
        }

        var filled = new StringBuilder(pattern.Length + 32);
        for (int i = 0; i < pattern.Length; i++)
        {
            if (pattern[i] == '{' && i + 2 < pattern.Length && char.IsAsciiDigit(pattern[i + 1]) && pattern[i + 2] == '}')
            {
                int place = pattern[i + 1] - '0';
                filled.Append(place < values.Length ? values[place] : throw new ArgumentException($"'{pattern}' has no value {place}."));
                i += 2;
            }
            else
            {
                filled.Append(pattern[i]);
            }
        }

        return filled.ToString();
    }

    private static Dictionary<string, string> Read(PageLanguage language)
    {
        var words = new Dictionary<string, string>(StringComparer.Ordinal);
        string end = $".{language.Tag()}.txt";
        foreach (string name in typeof(Phrases).Assembly.GetManifestResourceNames().Where(name => name.StartsWith(Folder, StringComparison.Ordinal) && name.EndsWith(end, StringComparison.Ordinal)))
        {
            using Stream stream = typeof(Phrases).Assembly.GetManifestResourceStream(name)!;
            using var reader = new StreamReader(stream, Encoding.UTF8);
            while (reader.ReadLine() is { } line)
            {
                Add(words, name, line.Trim());
            }
        }

        return words;
    }

    private static void Add(Dictionary<string, string> words, string file, string line)
    {
        if (line.Length == 0 || line[0] == '#')
        {
            return;
        }

        int equals = line.IndexOf(" = ", StringComparison.Ordinal);
        if (equals <= 0)
        {
            throw new FormatException($"{file}: '{line}' is no 'key = words'.");
        }

        // A key that stands twice is a fault a test finds; it is no reason to answer nobody.
        words.TryAdd(line[..equals].Trim(), line[(equals + 3)..].Trim());
    }
}
