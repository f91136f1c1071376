namespace GraftWatch.Aftercare.Trade;

/// <summary>Finds the word a person probably meant.</summary>
public static class NearestName
{
    /// <summary>The known word nearest to what was written, or null when none is near.</summary>
    /// <param name="written">What was written.</param>
    /// <param name="known">Words that would have been right.</param>
    /// <remarks>
    /// Nearness counts letters added, dropped, changed or swapped with their neighbour, case aside. A word is near when
    /// at most a third of its letters, and at least one, had to change, or when one word begins with the other.
    /// </remarks>
    public static string? Of(string written, IEnumerable<string> known)
    {
        string wanted = Shorten(written);
        string? best = null;
        int bestDistance = int.MaxValue;
        foreach (string candidate in known)
        {
            string word = Shorten(candidate);
            int distance = Distance(wanted, word);
            bool prefix = Math.Min(wanted.Length, word.Length) >= 3 && (word.StartsWith(wanted, StringComparison.Ordinal) || wanted.StartsWith(word, StringComparison.Ordinal));
            int allowed = Math.Max(1, Math.Max(wanted.Length, word.Length) / 3);
            if ((distance <= allowed || prefix) && distance < bestDistance)
            {
                best = candidate;
                bestDistance = distance;
            }
        }

        return best;
    }

    /// <summary>Number of letters to add, drop, change or swap with their neighbour to turn one word into the other.</summary>
    public static int Distance(string left, string right)
    {
        int[] before = new int[right.Length + 1];
        int[] last = new int[right.Length + 1];
        int[] now = new int[right.Length + 1];
        for (int j = 0; j <= right.Length; j++)
        {
            last[j] = j;
        }

        for (int i = 1; i <= left.Length; i++)
        {
            now[0] = i;
            for (int j = 1; j <= right.Length; j++)
            {
                int change = left[i - 1] == right[j - 1] ? 0 : 1;
                now[j] = Math.Min(Math.Min(now[j - 1] + 1, last[j] + 1), last[j - 1] + change);
                if (i > 1 && j > 1 && left[i - 1] == right[j - 2] && left[i - 2] == right[j - 1])
                {
                    now[j] = Math.Min(now[j], before[j - 2] + 1);
                }
            }

            (before, last, now) = (last, now, before);
        }

        return last[right.Length];
    }

    // A pasted page in place of a word must not cost seconds.
    private static string Shorten(string word) => (word.Length > 80 ? word[..80] : word).ToLowerInvariant();
}
