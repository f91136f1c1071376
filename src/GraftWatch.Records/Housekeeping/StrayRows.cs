using GraftWatch.Records.Engine;
using GraftWatch.Records.Growers;

namespace GraftWatch.Records.Housekeeping;

/// <summary>What earlier versions left behind when people were erased or added by halves.</summary>
internal static class StrayRows
{
    internal const string Places = "SELECT name FROM place ORDER BY name";
    internal const string UsedPlaces = "SELECT place FROM grower_place UNION SELECT place FROM graft";

    /// <summary>Growers whom nothing reaches; a way of their own besides mail does.</summary>
    internal const string WithoutAddress =
        """
        SELECT g.name FROM grower_detail d JOIN grower g ON g.id = d.grower_id
        WHERE trim(d.address) = '' AND NOT EXISTS (SELECT 1 FROM channel r WHERE r.grower_id = d.grower_id AND r.kind <> 'mail') ORDER BY g.name
        """;

    // Where nothing is kept of a grower but the half that was added.
    private const string Empty =
        """
        SELECT d.grower_id FROM grower_detail d WHERE trim(d.address) = ''
          AND NOT EXISTS (SELECT 1 FROM graft r WHERE r.grower_id = d.grower_id) AND NOT EXISTS (SELECT 1 FROM observation r WHERE r.grower_id = d.grower_id)
          AND NOT EXISTS (SELECT 1 FROM letter r WHERE r.grower_id = d.grower_id) AND NOT EXISTS (SELECT 1 FROM answer r WHERE r.grower_id = d.grower_id)
          AND NOT EXISTS (SELECT 1 FROM said r WHERE r.grower_id = d.grower_id) AND NOT EXISTS (SELECT 1 FROM advice_line r WHERE r.grower_id = d.grower_id)
          AND NOT EXISTS (SELECT 1 FROM feed r WHERE r.grower_id = d.grower_id)
          AND NOT EXISTS (SELECT 1 FROM channel r WHERE r.grower_id = d.grower_id AND r.kind <> 'mail')
        """;

    /// <summary>Names of places that no grower has and no graft stands at, whatever the case of the letters.</summary>
    internal static string[] PlacesOfNobody(IEnumerable<string> places, IEnumerable<string> used)
    {
        var kept = new HashSet<string>(used, StringComparer.OrdinalIgnoreCase);
        return [.. places.Where(place => !kept.Contains(place))];
    }

    /// <summary>Takes out what belongs to nobody: where somebody who was erased grew things is nobody's business any more.</summary>
    /// <returns>How many places and growers went, and the growers without an address that hold something and stay.</returns>
    internal static async Task<(int Places, int Growers, IReadOnlyList<string> WithoutAddress)> MendAsync(SqlEngine engine, SqlSession session, IReadOnlyCollection<string> placesOfFile)
    {
        await GrowerJoining.TakeTurnAsync(engine, session).ConfigureAwait(false);
        List<long> empty = await session.ListAsync(reader => reader.GetInt64(0), Empty).ConfigureAwait(false);
        foreach (string table in (string[])["channel", "grower_place", "grower_stop", "grower_detail"])
        {
            await session.ExecuteManyAsync($"DELETE FROM {table} WHERE grower_id = @id", empty, id => [("@id", id)]).ConfigureAwait(false);
        }

        await session.ExecuteManyAsync("DELETE FROM grower WHERE id = @id", empty, id => [("@id", id)]).ConfigureAwait(false);
        string[] places = PlacesOfNobody(await NamesAsync(session, Places).ConfigureAwait(false), await NamesAsync(session, UsedPlaces).ConfigureAwait(false));
        await session.ExecuteManyAsync("DELETE FROM place WHERE name = @place", places, place => [("@place", place)]).ConfigureAwait(false);
        string[] unwatched = [.. places.Except(placesOfFile, StringComparer.OrdinalIgnoreCase)];
        await session.ExecuteManyAsync("DELETE FROM weather_series WHERE place = @place", unwatched, place => [("@place", place)]).ConfigureAwait(false);
        await session.ExecuteManyAsync("DELETE FROM weather_day WHERE place = @place", unwatched, place => [("@place", place)]).ConfigureAwait(false);
        return (places.Length, empty.Count, await NamesAsync(session, WithoutAddress).ConfigureAwait(false));
    }

    /// <summary>What is to be said of them where nothing is changed: each a sentence and how to mend it.</summary>
    internal static IEnumerable<(string What, string Mend)> Remarks(IReadOnlyList<string> placesOfNobody, IReadOnlyList<string> withoutAddress)
    {
        if (placesOfNobody.Count > 0)
        {
            yield return ($"{Words(placesOfNobody, "place", "places")} that no grower has: {Names(placesOfNobody)}.", "serve takes them out in its next night.");
        }

        if (withoutAddress.Count > 0)
        {
            yield return (WithoutAddressSentence(withoutAddress), "Their letters go nowhere; export what is theirs if it is wanted, and add them anew with an address.");
        }
    }

    internal static string WithoutAddressSentence(IReadOnlyList<string> names) => $"{Words(names, "grower", "growers")} of the store without a mail address: {Names(names)}.";

    internal static Task<List<string>> NamesAsync(SqlSession session, string sql) => session.ListAsync(reader => reader.GetString(0), sql);

    private static string Words(IReadOnlyList<string> names, string one, string more) => names.Count == 1 ? "1 " + one : $"{names.Count} {more}";

    private static string Names(IReadOnlyList<string> names) => string.Join(", ", names.Take(5)) + (names.Count > 5 ? " and more" : string.Empty);
}
