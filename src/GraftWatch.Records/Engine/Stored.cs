using System.Data.Common;
using GraftWatch.Aftercare.Grafts;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Records.Engine;

/// <summary>How values of the domain look in a column. docs/store.md is the contract.</summary>
internal static class Stored
{
    /// <summary>100 ns ticks since 1970-01-01T00:00Z; finer parts are cut off.</summary>
    public static long Ticks(Instant at) => at.ToUnixTimeTicks();

    public static object? Ticks(Instant? at) => at?.ToUnixTimeTicks();

    public static string Date(LocalDate date) => LocalDatePattern.Iso.Format(date);

    public static string? Date(LocalDate? date) => date is { } day ? Date(day) : null;

    public static Instant Instant(this DbDataReader reader, int column) => NodaTime.Instant.FromUnixTimeTicks(reader.GetInt64(column));

    public static Instant? InstantOrNull(this DbDataReader reader, int column) => reader.IsDBNull(column) ? null : reader.Instant(column);

    public static LocalDate Date(this DbDataReader reader, int column) => LocalDatePattern.Iso.Parse(reader.GetString(column)).Value;

    public static LocalDate? DateOrNull(this DbDataReader reader, int column) => reader.IsDBNull(column) ? null : reader.Date(column);

    public static double? NumberOrNull(this DbDataReader reader, int column) => reader.IsDBNull(column) ? null : reader.GetDouble(column);

    public static int Whole(this DbDataReader reader, int column) => checked((int)reader.GetInt64(column));

    public static bool Flag(this DbDataReader reader, int column) => reader.GetInt64(column) != 0;

    public static T Word<T>(this DbDataReader reader, int column)
        where T : struct, Enum => Word<T>(reader.GetString(column));

    public static byte[] Bytes(this DbDataReader reader, int column) => reader.GetFieldValue<byte[]>(column);

    /// <summary>The kebab-case word of a closed list's member.</summary>
    public static string Word<T>(T value)
        where T : struct, Enum => Words<T>.ByValue[value];

    /// <summary>The member with a word.</summary>
    /// <exception cref="FormatException">The store holds a word this program does not know.</exception>
    public static T Word<T>(string word)
        where T : struct, Enum =>
        Words<T>.ByWord.TryGetValue(word, out T value) ? value : throw new FormatException($"'{word}' is no {typeof(T).Name} this program knows.");

    /// <summary>Empty text stands for no value, so that the column can be part of a key.</summary>
    public static string WordOrEmpty<T>(T? value)
        where T : struct, Enum => value is { } known ? Word(known) : string.Empty;

    public static T? WordOrNull<T>(string word)
        where T : struct, Enum => word.Length == 0 ? null : Word<T>(word);

    private static class Words<T>
        where T : struct, Enum
    {
        public static readonly Dictionary<T, string> ByValue = Enum.GetValues<T>().ToDictionary(value => value, value => TradeNames.Kebab(value.ToString()));
        public static readonly Dictionary<string, T> ByWord = ByValue.ToDictionary(pair => pair.Value, pair => pair.Key, StringComparer.Ordinal);
    }
}
