namespace GraftWatch.Records.Register;

/// <summary>The sixteen points of the compass.</summary>
internal static class CompassWords
{
    private static readonly string[] Points = ["N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"];

    internal static IReadOnlyList<string> All => Points;

    /// <summary>Degrees clockwise from north; NaN when the word is no point of the compass.</summary>
    internal static double Degrees(string word)
    {
        int at = Array.FindIndex(Points, p => string.Equals(p, word, StringComparison.OrdinalIgnoreCase));
        return at < 0 ? double.NaN : at * 22.5;
    }
}
