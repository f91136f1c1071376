using GraftWatch.Aftercare.Grafts;
using GraftWatch.Records.Engine;
using GraftWatch.Records.People;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Records.Growers;

/// <summary>Adds growers and places one after the other, so that no name is given away twice.</summary>
internal static class GrowerJoining
{
    // Tables whose rows a grower of the same name would take over.
    private static readonly string[] Legacies = ["graft", "observation", "letter", "said", "answer", "advice_line", "channel", "feed", "grower_stop"];

    /// <summary>Waits until nobody else adds or changes growers or places.</summary>
    public static Task TakeTurnAsync(SqlEngine engine, SqlSession session) => engine.LockAsync(session, "joining");

    public static async Task<JoinOutcome> JoinAsync(SqlEngine engine, SqlSession session, Joining joining)
    {
        await TakeTurnAsync(engine, session).ConfigureAwait(false);
        // A change of address may be about to give this one to somebody.
        await engine.LockAsync(session, "entry " + PeopleRecords.Plain(joining.Grower.Address)).ConfigureAwait(false);
        if (await WhyNotAsync(session, joining).ConfigureAwait(false) is { } taken)
        {
            return taken;
        }

        if (joining.Place is { } place)
        {
            await GrowerRecords.SavePlaceAsync(session, place).ConfigureAwait(false);
        }

        await GrowerRecords.SaveGrowerAsync(session, joining.Grower).ConfigureAwait(false);
        if (joining.Channels.Count > 0)
        {
            await GrowerRecords.SaveChannelsAsync(session, joining.Grower.Name, joining.Channels).ConfigureAwait(false);
        }

        if (joining.Person is { } person)
        {
            await PeopleRecords.SaveAsync(session, person).ConfigureAwait(false);
        }

        return JoinOutcome.Joined;
    }

    public static async Task<bool> KeepPlaceAsync(SqlEngine engine, SqlSession session, Grower grower, Place place, bool isNew)
    {
        await TakeTurnAsync(engine, session).ConfigureAwait(false);
        if (isNew ? await IsPlaceAsync(session, place.Name).ConfigureAwait(false) : await IsOthersAsync(session, grower.Name, place.Name).ConfigureAwait(false))
        {
            return false;
        }

        await GrowerRecords.SavePlaceAsync(session, place).ConfigureAwait(false);
        await GrowerRecords.SaveGrowerAsync(session, grower).ConfigureAwait(false);
        return true;
    }

    /// <summary>Adds a grower or replaces what is known of them, under the spelling the book has.</summary>
    public static async Task SaveGrowerAsync(SqlEngine engine, SqlSession session, Grower grower)
    {
        await TakeTurnAsync(engine, session).ConfigureAwait(false);
        string known = (await KnownAsync(session).ConfigureAwait(false)).Select(other => other.Name).FirstOrDefault(name => Same(name, grower.Name)) ?? grower.Name;
        await GrowerRecords.SaveGrowerAsync(session, grower with { Name = known }).ConfigureAwait(false);
    }

    /// <summary>Adds a place or replaces what is known of it, under the spelling the book has.</summary>
    public static async Task SavePlaceAsync(SqlEngine engine, SqlSession session, Place place)
    {
        await TakeTurnAsync(engine, session).ConfigureAwait(false);
        string known = (await PlacesAsync(session).ConfigureAwait(false)).Find(name => Same(name, place.Name)) ?? place.Name;
        await GrowerRecords.SavePlaceAsync(session, place with { Name = known }).ConfigureAwait(false);
    }

    private static async Task<JoinOutcome?> WhyNotAsync(SqlSession session, Joining joining)
    {
        Grower wanted = joining.Grower;
        List<(string Name, string Address)> known = await KnownAsync(session).ConfigureAwait(false);
        return known.Exists(grower => Same(grower.Address, wanted.Address)) ? JoinOutcome.AddressTaken
            : Same(wanted.Name, LetterSlot.OperatorName) || known.Exists(grower => Same(grower.Name, wanted.Name)) || await IsSomebodysLegacyAsync(session, wanted).ConfigureAwait(false) ? JoinOutcome.NameTaken
            : joining.Place is { } place && await IsPlaceAsync(session, place.Name).ConfigureAwait(false) ? JoinOutcome.PlaceTaken
            : null;
    }

    // Somebody who was struck out of graftwatch.toml left letters and grafts under their name. They are for whoever reads the mail
    // those letters went to; to anybody else the name is taken.
    private static async Task<bool> IsSomebodysLegacyAsync(SqlSession session, Grower wanted)
    {
        List<(long Id, string Name)> rows = await session.ListAsync(reader => (reader.GetInt64(0), reader.GetString(1)), "SELECT id, name FROM grower").ConfigureAwait(false);
        foreach ((long id, string name) in rows.Where(row => Same(row.Name, wanted.Name)))
        {
            long left = 0;
            foreach (string table in Legacies)
            {
                left += await session.NumberAsync($"SELECT count(*) FROM {table} WHERE grower_id = @id", ("@id", id)).ConfigureAwait(false) ?? 0;
            }

            List<string> readers = await session.ListAsync(reader => reader.GetString(0), "SELECT DISTINCT recipient FROM letter WHERE grower_id = @id AND channel = @mail", ("@id", id), ("@mail", LetterSlot.Mail)).ConfigureAwait(false);
            if (left > 0 && (name != wanted.Name || readers.Count == 0 || !readers.TrueForAll(address => Same(address, wanted.Address))))
            {
                return true;
            }
        }

        return false;
    }

    private static Task<List<(string Name, string Address)>> KnownAsync(SqlSession session) => session.ListAsync(
        reader => (reader.GetString(0), reader.GetString(1)),
        "SELECT g.name, d.address FROM grower_detail d JOIN grower g ON g.id = d.grower_id");

    private static Task<List<string>> PlacesAsync(SqlSession session) => session.ListAsync(reader => reader.GetString(0), "SELECT name FROM place");

    // The databases fold letters each in its own way; growers and places are told apart as the rest of the program does.
    private static async Task<bool> IsPlaceAsync(SqlSession session, string name) =>
        (await PlacesAsync(session).ConfigureAwait(false)).Exists(known => Same(known, name));

    private static async Task<bool> IsOthersAsync(SqlSession session, string grower, string place) => (await session.ListAsync(
        reader => reader.GetString(0),
        "SELECT p.place FROM grower_place p JOIN grower g ON g.id = p.grower_id WHERE g.name <> @name",
        ("@name", grower)).ConfigureAwait(false)).Exists(known => Same(known, place));

    private static bool Same(string one, string other) => string.Equals(one, other, StringComparison.OrdinalIgnoreCase);
}
