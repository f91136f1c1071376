using System.Globalization;

namespace GraftWatch.Letters.Wording;

/// <summary>Prints labels in walking order, runs folded: "B2-01 to B2-07, B2-09".</summary>
public static class LabelList
{
    /// <summary>Folds three or more labels that count up by one; order and completeness are kept.</summary>
    /// <param name="labels">In walking order.</param>
    public static string Fold(IReadOnlyList<string> labels)
    {
        var parts = new List<string>();
        for (int first = 0; first < labels.Count;)
        {
            int last = first;
            while (last + 1 < labels.Count && Follows(labels[last], labels[last + 1]))
            {
                last++;
            }

            if (last - first >= 2)
            {
                parts.Add($"{PlainWords.Name(labels[first])} to {PlainWords.Name(labels[last])}");
                first = last + 1;
                continue;
            }

            parts.Add(PlainWords.Name(labels[first]));
            first++;
        }

        return string.Join(", ", parts);
    }

    private static bool Follows(string label, string next)
    {
        int digits = TrailingDigits(label);
        if (digits is 0 or > 9 || label.Length != next.Length || TrailingDigits(next) != digits
            || !label.AsSpan(0, label.Length - digits).SequenceEqual(next.AsSpan(0, next.Length - digits)))
        {
            return false;
        }

        return int.Parse(next.AsSpan(next.Length - digits), NumberStyles.None, CultureInfo.InvariantCulture)
            == int.Parse(label.AsSpan(label.Length - digits), NumberStyles.None, CultureInfo.InvariantCulture) + 1;
    }

    private static int TrailingDigits(string label)
    {
        int count = 0;
        while (count < label.Length && char.IsAsciiDigit(label[label.Length - 1 - count]))
        {
            count++;
        }

        return count;
    }
}
