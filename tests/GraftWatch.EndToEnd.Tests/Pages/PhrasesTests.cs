using System.Text.RegularExpressions;
using GraftWatch.Pages.Language;
using GraftWatch.Testing;

namespace GraftWatch.EndToEnd.Tests.Pages;

public sealed partial class PhrasesTests
{
    private static readonly Phrases English = Phrases.In(PageLanguage.English);
    private static readonly Phrases German = Phrases.In(PageLanguage.German);

    private static readonly string[] Code = [.. Directory.GetFiles(Repository.PathOf("src", "GraftWatch"), "*.cs", SearchOption.AllDirectories).Select(File.ReadAllText)];

    [Fact]
    public void No_phrase_is_missing_in_any_language() => Assert.Equal(English.All.Keys.Order(StringComparer.Ordinal), German.All.Keys.Order(StringComparer.Ordinal));

    [Fact]
    public void No_key_stands_twice()
    {
        foreach (PageLanguage language in Enum.GetValues<PageLanguage>())
        {
            IEnumerable<string> keys = Directory.GetFiles(Repository.PathOf("src", "GraftWatch", "Pages", "Language", "Phrases"), $"*.{language.Tag()}.txt")
                .SelectMany(File.ReadAllLines).Where(line => line.Length > 0 && line[0] != '#').Select(line => line[..line.IndexOf(" = ", StringComparison.Ordinal)].Trim());
            Assert.Empty(keys.GroupBy(key => key).Where(group => group.Count() > 1).Select(group => group.Key));
        }
    }

    [Fact]
    public void Values_stand_in_every_language()
    {
        foreach (string key in English.All.Keys)
        {
            Assert.True(Places(English.All[key]).SequenceEqual(Places(German.All[key])), $"{key} has other values in German.");
        }
    }

    [Fact]
    public void No_phrase_is_empty_and_none_was_forgotten_to_be_translated()
    {
        string[] same = [.. English.All.Where(pair => German.All[pair.Key] == pair.Value && pair.Value.Any(char.IsLetter)).Select(pair => pair.Key).Order(StringComparer.Ordinal)];
        string[] may = File.ReadAllLines(Path.Combine(Repository.FolderOf(), "same-in-german.txt"));
        Assert.Equal(may.Where(line => line.Length > 0), same);
        Assert.All(English.All.Concat(German.All), pair => Assert.NotEmpty(pair.Value));
    }

    [Fact]
    public void A_counted_phrase_has_both_its_lines()
    {
        foreach (string key in English.All.Keys.Where(key => key.EndsWith(".one", StringComparison.Ordinal)))
        {
            Assert.True(English.Has(key[..^4] + ".many"), key);
        }
    }

    [Fact]
    public void Every_phrase_the_pages_ask_for_is_there()
    {
        foreach (string code in Code)
        {
            foreach (Match match in Asked().Matches(code))
            {
                string key = match.Groups["key"].Value;
                Assert.True(match.Groups["how"].Value == "Count" ? English.Has(key + ".one") && English.Has(key + ".many") : English.Has(key), $"No phrase '{key}'.");
            }
        }
    }

    // A key made at run time counts as used when its beginning, up to a point or hyphen, stands in the code.
    [Fact]
    public void No_phrase_is_left_over()
    {
        HashSet<string> literals = [.. Code.SelectMany(code => Literal().Matches(code).Select(match => match.Groups[1].Value))];
        string[] unused = [.. English.All.Keys.Where(key => !IsUsed(key, literals)).Order(StringComparer.Ordinal)];
        Assert.Empty(unused);
    }

    [Fact]
    public void A_key_that_is_not_there_is_a_fault_of_the_program() => Assert.Throws<KeyNotFoundException>(() => English.Say("layout.nothing"));

    [Theory]
    [InlineData("de", "de")]
    [InlineData("de-CH,en;q=0.5", "de")]
    [InlineData("fr, en;q=0.2, de;q=0.9", "de")]
    [InlineData("fr", "en")]
    [InlineData("de;q=0", "en")]
    [InlineData("", "en")]
    [InlineData(null, "en")]
    [InlineData(";;;=", "en")]
    public void The_browser_has_the_first_word_on_the_language(string? header, string language) => Assert.Equal(language, PageLanguages.Preferred(header).Tag());

    private static bool IsUsed(string key, HashSet<string> literals)
    {
        string stem = key.EndsWith(".one", StringComparison.Ordinal) ? key[..^4] : key.EndsWith(".many", StringComparison.Ordinal) ? key[..^5] : key;
        if (literals.Contains(stem))
        {
            return true;
        }

        for (int end = stem.Length - 1; end > 0; end--)
        {
            if (stem[end] is '.' or '-' && stem.IndexOf('.', StringComparison.Ordinal) <= end && literals.Contains(stem[..(end + 1)]))
            {
                return true;
            }

            // A key with a fixed ending, such as "entry.enter" and "-as".
            if (stem[end] == '-' && literals.Contains(stem[..end]) && literals.Contains(stem[end..]))
            {
                return true;
            }
        }

        // Problem pages: a number between prefix and ending.
        return stem.EndsWith("-do", StringComparison.Ordinal) && literals.Contains("-do") && literals.Contains("problem.");
    }

    private static IEnumerable<string> Places(string words) => Place().Matches(words).Select(match => match.Value).Distinct().Order(StringComparer.Ordinal);

    [GeneratedRegex("""(?<how>Say|Count)\("(?<key>[^"{}]+)"(?! \+)""")]
    private static partial Regex Asked();

    [GeneratedRegex("""
        "((?:[^"\\\r\n]|\\.)*)"
        """, RegexOptions.IgnorePatternWhitespace)]
    private static partial Regex Literal();

    [GeneratedRegex("\\{[0-9]\\}")]
    private static partial Regex Place();
}
