using GraftWatch.Aftercare.Grafts;
using GraftWatch.Records.Engine;
using GraftWatch.Records.People;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Records.Growers;

/// <summary>Adds growers and places one after the other, so that no name is given away twice.</summary>
internal static class GrowerJoining
{
    private const string Turn = "joining";

    public static async Task<JoinOutcome> JoinAsync(SqlEngine engine, SqlSession session, Joining joining)
    {
        await engine.LockAsync(session, Turn).ConfigureAwait(false);
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
        await engine.LockAsync(session, Turn).ConfigureAwait(false);
        if (isNew ? await IsPlaceAsync(session, place.Name).ConfigureAwait(false) : await IsOthersAsync(session, grower.Name, place.Name).ConfigureAwait(false))
        {
            return false;
        }

        await GrowerRecords.SavePlaceAsync(session, place).ConfigureAwait(false);
        await GrowerRecords.SaveGrowerAsync(session, grower).ConfigureAwait(false);
        return true;
    }

    private static async Task<JoinOutcome?> WhyNotAsync(SqlSession session, Joining joining)
    {
        List<(string Name, string Address)> known = await session.ListAsync(
            reader => (reader.GetString(0), reader.GetString(1)),
            "SELECT g.name, d.address FROM grower_detail d JOIN grower g ON g.id = d.grower_id").ConfigureAwait(false);
        return known.Any(grower => Same(grower.Address, joining.Grower.Address)) ? JoinOutcome.AddressTaken
            : known.Any(grower => Same(grower.Name, joining.Grower.Name)) ? JoinOutcome.NameTaken
            : joining.Place is { } place && await IsPlaceAsync(session, place.Name).ConfigureAwait(false) ? JoinOutcome.PlaceTaken
            : null;
    }

    // The databases fold letters each in its own way; growers and places are told apart as the rest of the program does.
    private static async Task<bool> IsPlaceAsync(SqlSession session, string name) =>
        (await session.ListAsync(reader => reader.GetString(0), "SELECT name FROM place").ConfigureAwait(false)).Exists(known => Same(known, name));

    private static async Task<bool> IsOthersAsync(SqlSession session, string grower, string place) => (await session.ListAsync(
        reader => reader.GetString(0),
        "SELECT p.place FROM grower_place p JOIN grower g ON g.id = p.grower_id WHERE g.name <> @name",
        ("@name", grower)).ConfigureAwait(false)).Exists(known => Same(known, place));

    private static bool Same(string one, string other) => string.Equals(one, other, StringComparison.OrdinalIgnoreCase);
}
