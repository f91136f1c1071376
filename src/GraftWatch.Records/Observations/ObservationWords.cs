using System.Globalization;
using System.Text;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Trade;

namespace GraftWatch.Records.Observations;

/// <summary>The words growers use for what they saw or did at a graft. Case, hyphens and extra spaces do not matter.</summary>
public static class ObservationWords
{
    private const double LongestShootM = 6;
    private const string CoverOnWord = "cover on";

    // The first word of each list is the one the help and the letters use. Common practice, no source; BBCH words after the
    // BBCH monograph (Meier 2018), pome fruit: 07 bud break, 09 green tips about 5 mm, 11 first leaves unfolded.
    private static readonly (ObservationKind Kind, string[] Words)[] Vocabulary =
    [
        (ObservationKind.GreenTip, ["green tip", "green tips", "bud break", "budbreak", "bud burst", "budburst"]),
        (ObservationKind.LeafOut, ["leaf out", "leaves out", "leafed out", "in leaf", "first leaves"]),
        (ObservationKind.Taken, ["taken", "took", "take", "has taken", "growing on"]),
        (ObservationKind.TieGrooved, ["tie cuts in", "tie cutting in", "tie grooved", "tie biting", "tie tight", "tie too tight"]),
        (ObservationKind.TieSlack, ["tie loose", "tie slack"]),
        (ObservationKind.Dead, ["dead", "died", "failed", "scion dead"]),
        (ObservationKind.CoverOn, [CoverOnWord, "covered", "sleeve on", "shaded"]),
        (ObservationKind.CoverVented, ["cover vented", "vented", "cover open", "cover opened", "sleeve vented"]),
        (ObservationKind.CoverOff, ["cover off", "uncovered", "sleeve off"]),
        (ObservationKind.TieOff, ["tie off", "tie slit", "slit tie", "tie cut", "tie removed", "untied"]),
        (ObservationKind.Staked, ["staked", "stake set", "tied to stake"]),
        (ObservationKind.HeadedBack, ["headed back", "head back", "headed", "stock headed", "stock headed back"]),
        (ObservationKind.StockShootsOff, ["stock shoots off", "shoots rubbed off", "rubbed off", "suckers off"]),
        (ObservationKind.CoverClosed, ["cover closed", "cover shut", "sleeve closed"]),
        (ObservationKind.Resealed, ["resealed", "seal renewed", "rewaxed", "waxed again"]),
        (ObservationKind.Watered, ["watered", "watered through"]),
        (ObservationKind.Relieved, ["relief cuts", "relief cuts made", "relief cuts opened", "relieved"]),
        (ObservationKind.TiedIn, ["tied in", "shoot tied", "shoot tied in"]),
        (ObservationKind.BlossomSeen, ["blossom", "blossoms", "in blossom", "in flower", "flowers", "fruit", "fruits"]),
    ];

    private static readonly Dictionary<string, ObservationKind> ByWords = Vocabulary
        .SelectMany(entry => entry.Words.Select(words => (words, entry.Kind)))
        .ToDictionary(pair => pair.words, pair => pair.Kind, StringComparer.Ordinal);

    private static readonly Dictionary<string, double> Metres = new(StringComparer.Ordinal)
    {
        ["mm"] = 0.001,
        ["cm"] = 0.01,
        ["m"] = 1,
        ["in"] = 0.0254,
        ["inch"] = 0.0254,
        ["inches"] = 0.0254,
        ["\""] = 0.0254,
        ["ft"] = 0.3048,
        ["feet"] = 0.3048,
    };

    /// <summary>One phrase for each thing that can be noted, for help texts.</summary>
    public static IReadOnlyList<string> Examples { get; } = ["bbch 09", "shoot 12 cm", .. Vocabulary.Select(entry => entry.Words[0]), CoverOnWord + " foil"];

    /// <summary>Reads a grower's words.</summary>
    /// <param name="words">Such as "green tip", "shoot 12 cm", "bbch 09", "tie off", "cover on foil".</param>
    public static ObservationReading Parse(string words)
    {
        ArgumentNullException.ThrowIfNull(words);
        string plain = Plain(words);
        if (plain.Length == 0)
        {
            return new ObservationReading.NotUnderstood($"Say what you saw or did, such as {Quoted(Examples[0])} or {Quoted("tie off")}.");
        }

        if (ByWords.TryGetValue(plain, out ObservationKind kind))
        {
            return new ObservationReading.Understood(kind);
        }

        if (plain.StartsWith("bbch", StringComparison.Ordinal))
        {
            return ParseBbch(plain["bbch".Length..].Trim());
        }

        if (plain.StartsWith("shoot", StringComparison.Ordinal) && plain.AsSpan().ContainsAnyInRange('0', '9'))
        {
            return ParseShoot(WithoutLead(plain, "shoots", "shoot length", "shoot"));
        }

        if (char.IsAsciiDigit(plain[0]) && plain.EndsWith(" shoot", StringComparison.Ordinal))
        {
            return ParseShoot(plain[..^" shoot".Length]);
        }

        return plain.StartsWith(CoverOnWord + " ", StringComparison.Ordinal)
            ? new ObservationReading.Understood(ObservationKind.CoverOn, Material: plain[(CoverOnWord.Length + 1)..].Replace(' ', '-'))
            : Unknown(words, plain);
    }

    /// <summary>The words of an observation as growers would say it, which <see cref="Parse"/> reads back.</summary>
    /// <param name="kind">What.</param>
    /// <param name="value">Its number where it has one.</param>
    /// <param name="material">Key of the cover put on; null or empty when there is none.</param>
    public static string Of(ObservationKind kind, double? value = null, string? material = null) => kind switch
    {
        ObservationKind.Bbch => string.Create(CultureInfo.InvariantCulture, $"bbch {value:00}"),
        ObservationKind.ShootLength => string.Create(CultureInfo.InvariantCulture, $"shoot {100 * value:0.##} cm"),
        ObservationKind.CoverOn when material is { Length: > 0 } => $"{CoverOnWord} {material}",
        _ => Vocabulary.First(entry => entry.Kind == kind).Words[0],
    };

    /// <summary>The material that an observation's words name; null when they name none.</summary>
    internal static string? MaterialOf(ObservationKind kind, string words) =>
        kind == ObservationKind.CoverOn && Parse(words) is ObservationReading.Understood { Material: { Length: > 0 } material } ? material : null;

    private static ObservationReading ParseBbch(string code) =>
        code.Length is 1 or 2 && int.TryParse(code, NumberStyles.None, CultureInfo.InvariantCulture, out int number)
            ? new ObservationReading.Understood(ObservationKind.Bbch, number)
            : new ObservationReading.NotUnderstood($"A BBCH code is a number from 00 to 99, such as {Quoted("bbch 09")} for green tips; {Quoted(code)} is none.");

    private static ObservationReading ParseShoot(string length)
    {
        int unitAt = length.AsSpan().LastIndexOfAnyInRange('0', '9') + 1;
        string number = length[..unitAt].Trim();
        string unit = length[unitAt..].Trim();
        if (number.Contains(',', StringComparison.Ordinal))
        {
            string point = number.Replace(',', '.');
            return new ObservationReading.NotUnderstood($"Write the length with a point: {Quoted($"shoot {point} {unit}".TrimEnd())}.", $"shoot {point} {unit}".TrimEnd());
        }

        if (!double.TryParse(number, NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out double amount))
        {
            return new ObservationReading.NotUnderstood($"{Quoted(number)} is no length; write for example {Quoted("shoot 12 cm")}.");
        }

        if (!Metres.TryGetValue(unit, out double metres))
        {
            string hint = unit.Length == 0 ? $"Say the unit of the shoot's length: {Quoted($"shoot {number} cm")}" : $"{Quoted(unit)} is no unit of length here";
            return new ObservationReading.NotUnderstood($"{hint}; known are mm, cm, m, in and ft.", unit.Length == 0 ? $"shoot {number} cm" : null);
        }

        double lengthM = amount * metres;
        return lengthM is > 0 and <= LongestShootM
            ? new ObservationReading.Understood(ObservationKind.ShootLength, lengthM)
            : new ObservationReading.NotUnderstood(string.Create(CultureInfo.InvariantCulture, $"A shoot of {lengthM:0.###} m is not believable; lengths over 0 and up to {LongestShootM} m are."));
    }

    private static ObservationReading.NotUnderstood Unknown(string words, string plain)
    {
        string shown = words.Trim().Length > 60 ? words.Trim()[..60] + "…" : words.Trim();
        string? nearest = NearestName.Of(plain, [.. ByWords.Keys, .. Examples, .. WorkWords.Examples]);
        string hint = nearest is null ? $"Known are: {string.Join(", ", Examples)}." : $"Did you mean {Quoted(nearest)}?";
        return new ObservationReading.NotUnderstood($"{Quoted(shown)} is not something that can be noted. {hint}", nearest);
    }

    private static string WithoutLead(string text, params ReadOnlySpan<string> leads)
    {
        foreach (string lead in leads)
        {
            if (text.StartsWith(lead, StringComparison.Ordinal))
            {
                return text[lead.Length..].Trim();
            }
        }

        return text;
    }

    // Lower case; hyphens, underscores and any white space become one space; a full stop at the end goes.
    internal static string Plain(string words)
    {
        var plain = new StringBuilder(words.Length);
        for (int i = 0; i < words.Length; i++)
        {
            char c = words[i];
            bool afterGap = plain.Length == 0 || plain[^1] == ' ';
            bool minus = c == '-' && afterGap && i + 1 < words.Length && char.IsAsciiDigit(words[i + 1]);
            bool gap = char.IsWhiteSpace(c) || c is '_' or ':' or '=' || (c == '-' && !minus);
            if (gap && afterGap)
            {
                continue;
            }

            plain.Append(gap ? ' ' : char.ToLowerInvariant(c));
        }

        return plain.ToString().Trim().TrimEnd('.', '!').TrimEnd();
    }

    private static string Quoted(string words) => $"\"{words}\"";
}
