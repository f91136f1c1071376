using System.Globalization;
using System.Text;
using GraftWatch.Aftercare.Grafts;
using NodaTime.Text;

namespace GraftWatch.Records.Register;

/// <summary>Writes grafts as rows.</summary>
internal static class RegisterRowWriter
{
    internal static void Append(StringBuilder text, Graft graft)
    {
        for (int i = 0; i < RegisterColumns.All.Count; i++)
        {
            string column = RegisterColumns.All[i];
            text.Append(i == 0 ? string.Empty : ",").Append(Quoted(Text(graft, column)));
        }

        text.Append("\r\n");
    }

    internal static string Text(Graft graft, string column) => IsAssumed(graft, column) ? string.Empty : Cell(graft, column).Trim();

    private static bool IsAssumed(Graft graft, string column)
    {
        foreach (string sentence in graft.Assumed)
        {
            if (sentence.Length > column.Length && sentence[column.Length] == ':' && sentence.StartsWith(column, StringComparison.Ordinal))
            {
                return true;
            }
        }

        return false;
    }

    private static string Cell(Graft graft, string column) => column switch
    {
        RegisterColumns.Label => graft.Label,
        RegisterColumns.Place => graft.Place,
        RegisterColumns.Block => graft.Block,
        RegisterColumns.Row => graft.Row,
        RegisterColumns.Tree => graft.Tree,
        RegisterColumns.Species => graft.Species,
        RegisterColumns.Scion => graft.Scion,
        RegisterColumns.Stock => graft.Stock,
        RegisterColumns.Technique => TradeNames.Key(graft.Technique),
        RegisterColumns.Made => LocalDatePattern.Iso.Format(graft.Made),
        RegisterColumns.Count => graft.Count.ToString(CultureInfo.InvariantCulture),
        RegisterColumns.Aspect => Number(graft.AspectDeg, 1),
        RegisterColumns.Tilt => Number(graft.TiltDeg, 1),
        RegisterColumns.Height => Number(graft.HeightM, 1),
        RegisterColumns.Diameter => Number(graft.DiameterM, 1000),
        RegisterColumns.Cover => graft.Cover,
        RegisterColumns.Tie => graft.Tie,
        RegisterColumns.Seal => graft.Seal,
        RegisterColumns.Shoot => graft.ShootM is { } shootM ? Number(shootM, 100) : string.Empty,
        RegisterColumns.Bbch => graft.Bbch?.ToString(CultureInfo.InvariantCulture) ?? string.Empty,
        RegisterColumns.NurseBuds => graft.NurseBuds.ToString(CultureInfo.InvariantCulture),
        RegisterColumns.Staked => graft.Support == ShootSupport.Free ? "no" : TradeNames.Key(graft.Support),
        RegisterColumns.Notes => graft.Notes,
        _ => throw new ArgumentOutOfRangeException(nameof(column), column, "No such column."),
    };

    // Shortest decimal digits of the number, shifted exactly: 0.012 m is 12 mm, never 12.000000000000002.
    private static string Number(double value, int perUnit)
    {
        if (!double.IsFinite(value) || !decimal.TryParse(value.ToString("R", CultureInfo.InvariantCulture), NumberStyles.Float, CultureInfo.InvariantCulture, out decimal exact))
        {
            return string.Empty;
        }

        string text = (exact * perUnit).ToString(CultureInfo.InvariantCulture);
        return text.Contains('.', StringComparison.Ordinal) ? text.TrimEnd('0').TrimEnd('.') : text;
    }

    internal static string Quoted(string cell) =>
        cell.AsSpan().IndexOfAny(",\"\r\n") >= 0 ? "\"" + cell.Replace("\"", "\"\"", StringComparison.Ordinal) + "\"" : cell;
}
