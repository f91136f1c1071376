using System.Globalization;
using System.Text;
using System.Text.RegularExpressions;

namespace GraftWatch.EndToEnd.Tests.Serving.Metrics;

/// <summary>Reads the Prometheus text exposition format 0.0.4 strictly, written from the format's documentation ("Exposition formats", text-based format) and sharing no code with the writer.</summary>
internal static partial class ExpositionReader
{
    internal sealed record Sample(string Name, IReadOnlyDictionary<string, string> Labels, double Value);

    internal sealed record Family(string Name, string Type, string Help, IReadOnlyList<Sample> Samples);

    /// <summary>Every family; throws with the line where the text breaks a rule.</summary>
    internal static IReadOnlyDictionary<string, Family> Read(string text)
    {
        if (text.Length > 0 && text[^1] != '\n')
        {
            throw new FormatException("The last line must end with a line feed.");
        }

        var families = new Dictionary<string, Family>(StringComparer.Ordinal);
        var series = new HashSet<string>(StringComparer.Ordinal);
        (string Name, string Text)? help = null;
        Family? open = null;
        foreach (string line in text.Split('\n')[..^1])
        {
            if (HelpLine().Match(line) is { Success: true } h)
            {
                help = (h.Groups[1].Value, Unescape(h.Groups[2].Value, quotes: false));
            }
            else if (TypeLine().Match(line) is { Success: true } t)
            {
                string name = t.Groups[1].Value;
                open = new Family(name, t.Groups[2].Value, help is { } said && said.Name == name ? said.Text : string.Empty, new List<Sample>());
                if (!families.TryAdd(name, open))
                {
                    throw new FormatException($"A second TYPE line for {name}: all lines of a metric are one group.");
                }
            }
            else if (line.Length > 0 && !(line[0] == '#' && !line.StartsWith("# HELP", StringComparison.Ordinal) && !line.StartsWith("# TYPE", StringComparison.Ordinal)))
            {
                Sample sample = ReadSample(line);
                if (open is null || !Belongs(sample.Name, open))
                {
                    throw new FormatException($"'{line}' does not belong to the group above it.");
                }

                if (!series.Add(sample.Name + "{" + string.Join(',', sample.Labels.OrderBy(label => label.Key, StringComparer.Ordinal).Select(label => label.Key + "=" + label.Value)) + "}"))
                {
                    throw new FormatException($"'{line}' comes twice.");
                }

                ((List<Sample>)open.Samples).Add(sample);
            }
        }

        foreach (Family family in families.Values.Where(family => family.Type == "histogram"))
        {
            CheckHistogram(family);
        }

        return families;
    }

    private static bool Belongs(string sample, Family family) => family.Type == "histogram"
        ? sample == family.Name + "_bucket" || sample == family.Name + "_sum" || sample == family.Name + "_count"
        : sample == family.Name;

    private static Sample ReadSample(string line)
    {
        Match match = SampleLine().Match(line);
        if (!match.Success)
        {
            throw new FormatException($"'{line}' is no sample.");
        }

        var labels = new Dictionary<string, string>(StringComparer.Ordinal);
        foreach (Capture label in match.Groups["label"].Captures)
        {
            int equals = label.Value.IndexOf('=', StringComparison.Ordinal);
            labels.Add(label.Value[..equals], Unescape(label.Value[(equals + 2)..^1], quotes: true));
        }

        return new Sample(match.Groups["name"].Value, labels, ReadNumber(match.Groups["value"].Value));
    }

    private static double ReadNumber(string word) => word switch
    {
        "+Inf" => double.PositiveInfinity,
        "-Inf" => double.NegativeInfinity,
        "NaN" => double.NaN,
        _ => double.Parse(word, NumberStyles.Float, CultureInfo.InvariantCulture),
    };

    private static string Unescape(string text, bool quotes)
    {
        var plain = new StringBuilder();
        for (int i = 0; i < text.Length; i++)
        {
            if (text[i] != '\\')
            {
                plain.Append(text[i]);
                continue;
            }

            i++;
            plain.Append(i < text.Length ? text[i] switch { '\\' => '\\', 'n' => '\n', '"' when quotes => '"', _ => throw new FormatException($"\\{text[i]} is no escape.") } : throw new FormatException("A lone backslash."));
        }

        return plain.ToString();
    }

    // "buckets must appear in increasing numerical order of their label values"; "each bucket is cumulative"; "+Inf is required and equals _count".
    private static void CheckHistogram(Family family)
    {
        foreach (IGrouping<string, Sample> one in family.Samples.GroupBy(sample => string.Join(',', sample.Labels.Where(label => label.Key != "le").OrderBy(label => label.Key, StringComparer.Ordinal).Select(label => label.ToString()))))
        {
            Sample[] buckets = [.. one.Where(sample => sample.Name.EndsWith("_bucket", StringComparison.Ordinal))];
            double[] bounds = [.. buckets.Select(bucket => ReadNumber(bucket.Labels["le"]))];
            if (!bounds.SequenceEqual(bounds.Order()) || bounds.Distinct().Count() != bounds.Length || !double.IsPositiveInfinity(bounds[^1]))
            {
                throw new FormatException($"The buckets of {family.Name} are not in order, or +Inf lacks.");
            }

            if (!buckets.Select(bucket => bucket.Value).SequenceEqual(buckets.Select(bucket => bucket.Value).Order()) || buckets[^1].Value != one.Single(sample => sample.Name == family.Name + "_count").Value)
            {
                throw new FormatException($"The buckets of {family.Name} do not add up.");
            }

            _ = one.Single(sample => sample.Name == family.Name + "_sum");
        }
    }

    [GeneratedRegex(@"^# HELP ([a-zA-Z_:][a-zA-Z0-9_:]*) (.*)$")]
    private static partial Regex HelpLine();

    [GeneratedRegex(@"^# TYPE ([a-zA-Z_:][a-zA-Z0-9_:]*) (counter|gauge|histogram|summary|untyped)$")]
    private static partial Regex TypeLine();

    [GeneratedRegex("""^(?<name>[a-zA-Z_:][a-zA-Z0-9_:]*)(\{((?<label>[a-zA-Z_][a-zA-Z0-9_]*="(\\.|[^"\\])*")(,|(?=\})))*\})? (?<value>[+-]?(\d+(\.\d*)?([eE][+-]?\d+)?|Inf)|NaN)( -?\d+)?$""")]
    private static partial Regex SampleLine();
}
