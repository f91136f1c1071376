using GraftWatch.Aftercare.Grafts;

namespace GraftWatch.Records.Grafts;

/// <summary>Place, block, row, tree, label; numbers inside words count as numbers, so that row 2 comes before row 10.</summary>
public sealed class WalkingOrder : IComparer<Graft>
{
    public static WalkingOrder Instance { get; } = new();

    public int Compare(Graft? x, Graft? y)
    {
        ArgumentNullException.ThrowIfNull(x);
        ArgumentNullException.ThrowIfNull(y);
        int order = Words(x.Place, y.Place);
        order = order != 0 ? order : Words(x.Block, y.Block);
        order = order != 0 ? order : Words(x.Row, y.Row);
        order = order != 0 ? order : Words(x.Tree, y.Tree);
        order = order != 0 ? order : Words(x.Label, y.Label);
        return order != 0 ? order : string.CompareOrdinal(x.Label, y.Label);
    }

    private static int Words(string x, string y)
    {
        int i = 0, j = 0;
        while (i < x.Length && j < y.Length)
        {
            int order;
            if (char.IsAsciiDigit(x[i]) && char.IsAsciiDigit(y[j]))
            {
                order = Numbers(TakeNumber(x, ref i), TakeNumber(y, ref j));
            }
            else
            {
                order = char.ToUpperInvariant(x[i++]).CompareTo(char.ToUpperInvariant(y[j++]));
            }

            if (order != 0)
            {
                return order;
            }
        }

        return (x.Length - i).CompareTo(y.Length - j);
    }

    private static ReadOnlySpan<char> TakeNumber(string text, ref int at)
    {
        int from = at;
        while (at < text.Length && char.IsAsciiDigit(text[at]))
        {
            at++;
        }

        return text.AsSpan(from, at - from).TrimStart('0');
    }

    private static int Numbers(ReadOnlySpan<char> x, ReadOnlySpan<char> y) =>
        x.Length != y.Length ? x.Length.CompareTo(y.Length) : x.SequenceCompareTo(y);
}
