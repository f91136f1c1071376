using System.Data.Common;
using System.Text.Json;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Microclimate.Sites;
using GraftWatch.Records.Engine;
using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Urgent;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Records.Growers;

/// <summary>Growers, places and channels.</summary>
internal sealed class GrowerRecords(SqlEngine engine) : IGrowerBook
{
    private const string SelectGrower =
        """
        SELECT g.name, d.address, d.zone, d.letter_time, d.units, d.hold_from, d.hold_until, d.frost_passes, d.urgent_a_day, d.picture, d.calendar
        FROM grower_detail d JOIN grower g ON g.id = d.grower_id
        """;

    private static readonly LocalTimePattern Time = LocalTimePattern.ExtendedIso;

    public Task<IReadOnlyList<Grower>> LoadGrowersAsync(CancellationToken cancellationToken) => engine.ReadAsync(LoadGrowersAsync, cancellationToken);

    public Task<Grower?> FindGrowerAsync(string name, CancellationToken cancellationToken) =>
        engine.ReadAsync(session => FindAsync(session, "lower(g.name) = lower(@value) ORDER BY g.name <> @value, g.name", name), cancellationToken);

    public Task<Grower?> FindGrowerByAddressAsync(string address, CancellationToken cancellationToken) =>
        engine.ReadAsync(session => FindAsync(session, "lower(d.address) = lower(@value) ORDER BY g.name", address), cancellationToken);

    public Task SaveGrowerAsync(Grower grower, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(grower);
        return engine.WriteAsync(session => GrowerJoining.SaveGrowerAsync(engine, session, grower), cancellationToken);
    }

    public Task<JoinOutcome> JoinAsync(Joining joining, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(joining);
        return engine.WriteAsync(session => GrowerJoining.JoinAsync(engine, session, joining), cancellationToken);
    }

    public Task<bool> KeepPlaceAsync(Grower grower, Place place, bool isNew, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(grower);
        ArgumentNullException.ThrowIfNull(place);
        return engine.WriteAsync(session => GrowerJoining.KeepPlaceAsync(engine, session, grower, place, isNew), cancellationToken);
    }

    public Task<IReadOnlyList<Place>> LoadPlacesAsync(CancellationToken cancellationToken) => engine.ReadAsync(LoadPlacesAsync, cancellationToken);

    public Task SavePlaceAsync(Place place, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(place);
        return engine.WriteAsync(session => GrowerJoining.SavePlaceAsync(engine, session, place), cancellationToken);
    }

    public Task<IReadOnlyList<GrowerChannel>> LoadChannelsAsync(string grower, CancellationToken cancellationToken) =>
        engine.ReadAsync(session => LoadChannelsAsync(session, grower), cancellationToken);

    public Task<ILookup<string, GrowerChannel>> LoadAllChannelsAsync(CancellationToken cancellationToken) => engine.ReadAsync(
        async session => (await session.ListAsync(
            reader => (Grower: reader.GetString(0), Channel: MapChannel(reader, 1)),
            "SELECT g.name, c.name, c.kind, c.target, c.morning, c.urgent, c.held_from, c.held_to FROM channel c JOIN grower g ON g.id = c.grower_id ORDER BY g.name, c.position").ConfigureAwait(false))
            .ToLookup(row => row.Grower, row => row.Channel, StringComparer.Ordinal),
        cancellationToken);

    public Task SaveChannelsAsync(string grower, IReadOnlyList<GrowerChannel> channels, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(channels);
        return engine.WriteAsync(session => SaveChannelsAsync(session, grower, channels), cancellationToken);
    }

    internal static async Task<IReadOnlyList<Grower>> LoadGrowersAsync(SqlSession session)
    {
        List<(string Name, string Place)> places = await session.ListAsync(
            reader => (reader.GetString(0), reader.GetString(1)),
            "SELECT g.name, p.place FROM grower_place p JOIN grower g ON g.id = p.grower_id ORDER BY g.name, p.position").ConfigureAwait(false);
        ILookup<string, string> byGrower = places.ToLookup(row => row.Name, row => row.Place, StringComparer.Ordinal);
        return await session.ListAsync(
            reader => MapGrower(reader, [.. byGrower[reader.GetString(0)]]),
            SelectGrower + " ORDER BY g.name").ConfigureAwait(false);
    }

    private static async Task<Grower?> FindAsync(SqlSession session, string where, string value)
    {
        if (await session.FirstAsync(reader => MapGrower(reader, []), session.Command($"{SelectGrower} WHERE {where} LIMIT 1", ("@value", value))).ConfigureAwait(false) is not { } grower)
        {
            return null;
        }

        List<string> places = await session.ListAsync(
            reader => reader.GetString(0),
            "SELECT p.place FROM grower_place p JOIN grower g ON g.id = p.grower_id WHERE g.name = @name ORDER BY p.position",
            ("@name", grower.Name)).ConfigureAwait(false);
        return grower with { Places = places };
    }

    private static Grower MapGrower(DbDataReader reader, IReadOnlyList<string> places) =>
        new(reader.GetString(0), reader.GetString(1), Zone(reader.GetString(2)), Time.Parse(reader.GetString(3)).Value, reader.Word<UnitSystem>(4), places)
        {
            Wishes = new UrgentWishes(reader.Whole(8), TimeOrNull(reader, 5), TimeOrNull(reader, 6), reader.Flag(7)),
            Picture = reader.Flag(9),
            Calendar = reader.Flag(10),
        };

    internal static async Task SaveGrowerAsync(SqlSession session, Grower grower)
    {
        long id = await GrowerRows.TakeAsync(session, grower.Name).ConfigureAwait(false);
        await session.ExecuteAsync(
            """
            INSERT INTO grower_detail (grower_id, address, zone, letter_time, units, hold_from, hold_until, frost_passes, urgent_a_day, picture, calendar)
            VALUES (@id, @address, @zone, @time, @units, @from, @until, @frost, @most, @picture, @calendar)
            ON CONFLICT (grower_id) DO UPDATE SET address = excluded.address, zone = excluded.zone, letter_time = excluded.letter_time, units = excluded.units,
                hold_from = excluded.hold_from, hold_until = excluded.hold_until, frost_passes = excluded.frost_passes, urgent_a_day = excluded.urgent_a_day,
                picture = excluded.picture, calendar = excluded.calendar
            """,
            ("@id", id),
            ("@address", grower.Address),
            ("@zone", grower.Zone.Id),
            ("@time", Time.Format(grower.LetterTime)),
            ("@units", Stored.Word(grower.Units)),
            ("@from", TimeOrNull(grower.Wishes.HoldFrom)),
            ("@until", TimeOrNull(grower.Wishes.HoldUntil)),
            ("@frost", grower.Wishes.FrostPasses),
            ("@most", grower.Wishes.MostADay),
            ("@picture", grower.Picture),
            ("@calendar", grower.Calendar)).ConfigureAwait(false);
        await session.ExecuteAsync("DELETE FROM grower_place WHERE grower_id = @id", ("@id", id)).ConfigureAwait(false);
        await session.ExecuteManyAsync(
            "INSERT INTO grower_place (grower_id, position, place) VALUES (@id, @position, @place)",
            [.. grower.Places.Index()],
            place => [("@id", id), ("@position", place.Index), ("@place", place.Item)]).ConfigureAwait(false);
    }

    internal static async Task<IReadOnlyList<Place>> LoadPlacesAsync(SqlSession session) => await session.ListAsync(
        MapPlace,
        "SELECT name, latitude_deg, longitude_deg, elevation_m, ground_albedo_frac, roughness_m, shelter_wind_frac, frost_offset_k, horizon_deg, available_soil_water_mm, zone, assumed FROM place ORDER BY name").ConfigureAwait(false);

    internal static Task SavePlaceAsync(SqlSession session, Place place) => session.ExecuteAsync(
        """
        INSERT INTO place (name, latitude_deg, longitude_deg, elevation_m, ground_albedo_frac, roughness_m, shelter_wind_frac, frost_offset_k, horizon_deg, available_soil_water_mm, zone, assumed)
        VALUES (@name, @latitude, @longitude, @elevation, @albedo, @roughness, @shelter, @frost, @horizon, @water, @zone, @assumed)
        ON CONFLICT (name) DO UPDATE SET latitude_deg = excluded.latitude_deg, longitude_deg = excluded.longitude_deg, elevation_m = excluded.elevation_m,
            ground_albedo_frac = excluded.ground_albedo_frac, roughness_m = excluded.roughness_m, shelter_wind_frac = excluded.shelter_wind_frac,
            frost_offset_k = excluded.frost_offset_k, horizon_deg = excluded.horizon_deg, available_soil_water_mm = excluded.available_soil_water_mm,
            zone = excluded.zone, assumed = excluded.assumed
        """,
        ("@name", place.Name),
        ("@latitude", place.Site.LatitudeDeg),
        ("@longitude", place.Site.LongitudeDeg),
        ("@elevation", place.Site.ElevationM),
        ("@albedo", place.Site.GroundAlbedoFrac),
        ("@roughness", place.Site.RoughnessM),
        ("@shelter", place.Site.ShelterWindFrac),
        ("@frost", place.Site.FrostOffsetK),
        ("@horizon", JsonSerializer.Serialize([.. place.Site.HorizonDeg], ColumnJson.Default.DoubleArray)),
        ("@water", place.Site.AvailableSoilWaterMm),
        ("@zone", place.Zone.Id),
        ("@assumed", JsonSerializer.Serialize([.. place.Assumed], ColumnJson.Default.StringArray)));

    internal static async Task<IReadOnlyList<GrowerChannel>> LoadChannelsAsync(SqlSession session, string grower) => await session.ListAsync(
        reader => MapChannel(reader, 0),
        "SELECT c.name, c.kind, c.target, c.morning, c.urgent, c.held_from, c.held_to FROM channel c JOIN grower g ON g.id = c.grower_id WHERE g.name = @name ORDER BY c.position",
        ("@name", grower)).ConfigureAwait(false);

    internal static async Task SaveChannelsAsync(SqlSession session, string grower, IReadOnlyList<GrowerChannel> channels)
    {
        long id = await GrowerRows.TakeAsync(session, grower).ConfigureAwait(false);
        await session.ExecuteAsync("DELETE FROM channel WHERE grower_id = @id", ("@id", id)).ConfigureAwait(false);
        await session.ExecuteManyAsync(
            "INSERT INTO channel (grower_id, position, name, kind, target, morning, urgent, held_from, held_to) VALUES (@id, @position, @name, @kind, @target, @morning, @urgent, @from, @to)",
            [.. channels.Index()],
            channel =>
            [
                ("@id", id),
                ("@position", channel.Index),
                ("@name", channel.Item.Name),
                ("@kind", channel.Item.Kind),
                ("@target", channel.Item.Target),
                ("@morning", channel.Item.Morning),
                ("@urgent", channel.Item.Urgent),
                ("@from", TimeOrNull(channel.Item.HeldFrom)),
                ("@to", TimeOrNull(channel.Item.HeldTo)),
            ]).ConfigureAwait(false);
    }

    private static GrowerChannel MapChannel(DbDataReader reader, int at) =>
        new(reader.GetString(at), reader.GetString(at + 1), reader.GetString(at + 2), reader.Flag(at + 3), reader.Flag(at + 4), TimeOrNull(reader, at + 5), TimeOrNull(reader, at + 6));

    private static string? TimeOrNull(LocalTime? time) => time is { } known ? Time.Format(known) : null;

    private static LocalTime? TimeOrNull(DbDataReader reader, int column) => reader.IsDBNull(column) ? null : Time.Parse(reader.GetString(column)).Value;

    private static DateTimeZone Zone(string id) =>
        DateTimeZoneProviders.Tzdb.GetZoneOrNull(id) ?? throw new FormatException($"The store names the zone {id}, which this program's zone data ({DateTimeZoneProviders.Tzdb.VersionId}) does not have.");

    private static Place MapPlace(DbDataReader reader)
    {
        var site = new Site
        {
            LatitudeDeg = reader.GetDouble(1),
            LongitudeDeg = reader.GetDouble(2),
            ElevationM = reader.GetDouble(3),
            GroundAlbedoFrac = reader.GetDouble(4),
            RoughnessM = reader.GetDouble(5),
            ShelterWindFrac = reader.GetDouble(6),
            FrostOffsetK = reader.GetDouble(7),
            HorizonDeg = JsonSerializer.Deserialize(reader.GetString(8), ColumnJson.Default.DoubleArray) ?? [],
            AvailableSoilWaterMm = reader.GetDouble(9),
        };
        return new Place(reader.GetString(0), site, Zone(reader.GetString(10))) { Assumed = JsonSerializer.Deserialize(reader.GetString(11), ColumnJson.Default.StringArray) ?? [] };
    }
}
