using GraftWatch.Records.Engine;

namespace GraftWatch.Records.People;

/// <summary>Takes a grower out of the store as if they had never been there.</summary>
internal static class GrowerErasing
{
    // In the order of their references; the rows of a letter, an answer go with it.
    private static readonly string[] Tables =
        ["graft", "observation", "letter", "said", "answer", "advice_line", "channel", "grower_place", "grower_stop", "feed", "grower_detail"];

    public static async Task EraseAsync(SqlSession session, string name, IReadOnlyCollection<string> othersPlaces)
    {
        if (await GrowerRows.FindAsync(session, name).ConfigureAwait(false) is not { } id)
        {
            return;
        }

        List<(string Name, long Grower)> places = await session.ListAsync(reader => (reader.GetString(0), reader.GetInt64(1)), "SELECT place, grower_id FROM grower_place").ConfigureAwait(false);
        HashSet<string> shared = new(places.Where(place => place.Grower != id).Select(place => place.Name), StringComparer.OrdinalIgnoreCase);
        HashSet<string> watched = new(othersPlaces, StringComparer.OrdinalIgnoreCase);
        foreach (string table in Tables)
        {
            await session.ExecuteAsync($"DELETE FROM {table} WHERE grower_id = @id", ("@id", id)).ConfigureAwait(false);
        }

        await session.ExecuteAsync("DELETE FROM grower WHERE id = @id", ("@id", id)).ConfigureAwait(false);
        foreach (string place in places.Where(place => place.Grower == id && !shared.Contains(place.Name)).Select(place => place.Name))
        {
            await session.ExecuteAsync("DELETE FROM place WHERE name = @place", ("@place", place)).ConfigureAwait(false);
            if (!watched.Contains(place))
            {
                await session.ExecuteAsync("DELETE FROM weather_series WHERE place = @place", ("@place", place)).ConfigureAwait(false);
                await session.ExecuteAsync("DELETE FROM weather_day WHERE place = @place", ("@place", place)).ConfigureAwait(false);
            }
        }
    }
}
