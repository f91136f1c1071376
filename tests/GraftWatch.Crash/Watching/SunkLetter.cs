using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using System.Text.RegularExpressions;

namespace GraftWatch.Crash.Watching;

/// <summary>A letter as a reader has it: all that is known of it is read from its bytes.</summary>
/// <param name="Address">Recipient of the envelope.</param>
/// <param name="Date">Day the letter says it is for; of an urgent note the day in its Date header.</param>
/// <param name="Urgent">Whether it is an urgent note.</param>
/// <param name="Number">Running number in its text.</param>
/// <param name="MessageId">Message-ID without brackets.</param>
/// <param name="Hash">SHA-256 of its bytes.</param>
/// <param name="Life">Life of the program that sent it.</param>
/// <param name="At">Simulated time of its arrival, Unix ticks.</param>
public sealed partial record SunkLetter(string Address, DateOnly Date, bool Urgent, int Number, string MessageId, string Hash, int Life, long At)
{
    /// <summary>The latest time the clock had shown by then, Unix ticks.</summary>
    public long HighestAt { get; init; }

    /// <summary>Whether it says that there was no letter on the days before it.</summary>
    public bool TellsOfDaysWithout { get; private init; }

    /// <summary>When "250" was on its way, in ticks of the stopwatch; 0 when it never was.</summary>
    public long SaidAt { get; set; }

    /// <summary>Reads a letter.</summary>
    public static SunkLetter Of(string address, byte[] bytes, int life, long at)
    {
        string text = Encoding.Latin1.GetString(bytes);
        Match date = DayLine().Match(text) is { Success: true } day ? day : DateLine().Match(text);
        return new SunkLetter(
            address,
            DateTime.TryParseExact(date.Groups[1].Value, ["d MMM yyyy", "d MMMM yyyy"], CultureInfo.InvariantCulture, DateTimeStyles.None, out DateTime read) ? DateOnly.FromDateTime(read) : default,
            text.Contains("urgent-notes", StringComparison.Ordinal),
            NumberLine().Match(text) is { Success: true } number ? int.Parse(number.Groups[1].Value, CultureInfo.InvariantCulture) : 0,
            IdLine().Match(text).Groups[1].Value,
            Convert.ToHexStringLower(SHA256.HashData(bytes)),
            life,
            at)
        {
            TellsOfDaysWithout = text.Replace("=\r\n", string.Empty, StringComparison.Ordinal).ReplaceLineEndings(" ").Contains("There was no letter", StringComparison.Ordinal),
        };
    }

    [GeneratedRegex(@"^\w+day (\d{1,2} \w+ \d{4}), ", RegexOptions.Multiline)]
    private static partial Regex DayLine();

    [GeneratedRegex(@"^Date: \w{3}, (\d{1,2} \w{3} \d{4}) ", RegexOptions.Multiline)]
    private static partial Regex DateLine();

    [GeneratedRegex(@"\b(?:Letter|Note|Urgent note) (\d+) for ")]
    private static partial Regex NumberLine();

    [GeneratedRegex(@"^Message-I[Dd]: <([^>]+)>", RegexOptions.Multiline)]
    private static partial Regex IdLine();
}
