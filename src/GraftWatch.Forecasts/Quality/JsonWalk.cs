using System.Text.Json;

namespace GraftWatch.Forecasts.Quality;

/// <summary>Steps through JSON of unknown soundness: what is absent or of another kind is null.</summary>
internal static class JsonWalk
{
    public static JsonElement? At(this JsonElement element, params ReadOnlySpan<string> path)
    {
        foreach (string name in path)
        {
            if (element.ValueKind != JsonValueKind.Object || !element.TryGetProperty(name, out element))
            {
                return null;
            }
        }

        return element;
    }

    public static double NumberAt(this JsonElement element, params ReadOnlySpan<string> path) =>
        element.At(path) is { ValueKind: JsonValueKind.Number } value && value.TryGetDouble(out double number) && double.IsFinite(number) ? number : double.NaN;

    /// <summary>A number, or text that is one.</summary>
    public static int? WholeAt(this JsonElement element, params ReadOnlySpan<string> path) => element.At(path) switch
    {
        { ValueKind: JsonValueKind.Number } value when value.TryGetInt32(out int number) => number,
        { ValueKind: JsonValueKind.String } value when int.TryParse(value.Text(), System.Globalization.NumberStyles.AllowLeadingSign, System.Globalization.CultureInfo.InvariantCulture, out int number) => number,
        _ => null,
    };

    public static string? TextAt(this JsonElement element, params ReadOnlySpan<string> path) =>
        element.At(path) is { ValueKind: JsonValueKind.String } value ? value.Text() : null;

    public static IEnumerable<JsonElement> Items(this JsonElement? element) =>
        element is { ValueKind: JsonValueKind.Array } list ? list.EnumerateArray() : [];

    private static string? Text(this JsonElement element)
    {
        try
        {
            return element.GetString();
        }
        catch (InvalidOperationException)
        {
            // Text that is not UTF-8 or holds half a surrogate pair.
            return null;
        }
    }
}
