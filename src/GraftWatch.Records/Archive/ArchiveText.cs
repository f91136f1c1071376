using NodaTime.Text;

namespace GraftWatch.Records.Archive;

/// <summary>Instants and dates as the archive writes them, and as its columns hold them.</summary>
internal static class ArchiveText
{
    private static readonly InstantPattern Pattern = InstantPattern.ExtendedIso;

    public static string Instant(long ticks) => Pattern.Format(NodaTime.Instant.FromUnixTimeTicks(ticks));

    public static string? InstantOrNull(object? ticks) => ticks is long known ? Instant(known) : null;

    public static long Ticks(string text) => Pattern.Parse(text) is { Success: true } read
        ? read.Value.ToUnixTimeTicks()
        : throw new FormatException($"'{text}' is not an instant such as 2027-05-14T04:30:00Z.");

    public static object? TicksOrNull(string? text) => text is null ? null : Ticks(text);

    public static string Date(string text) => DateOrNull(text)!;

    public static string? DateOrNull(string? text) => text is null || LocalDatePattern.Iso.Parse(text).Success
        ? text
        : throw new FormatException($"'{text}' is not a date such as 2027-05-14.");

    /// <summary>A word of a closed list, checked.</summary>
    public static string Word<T>(string text)
        where T : struct, Enum => Engine.Stored.Word(Engine.Stored.Word<T>(text));

    /// <summary>A word of a closed list or empty text, checked.</summary>
    public static string WordOrEmpty<T>(string text)
        where T : struct, Enum => text.Length == 0 ? text : Word<T>(text);
}
