using System.Data.Common;
using System.Text.Json;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Records.Engine;

namespace GraftWatch.Records.Grafts;

/// <summary>Grafts as rows.</summary>
internal static class GraftRows
{
    private static readonly string[] NoWords = [];

    private static readonly string[] Columns =
    [
        "label", "place", "block", "line", "tree", "species", "scion", "stock", "technique", "made", "unions", "aspect_deg", "tilt_deg", "height_m",
        "diameter_m", "cover", "cover_vented", "tie", "seal", "shoot_m", "bbch", "nurse_buds", "support", "notes", "assumed",
    ];

    private static readonly string Upsert =
        $"INSERT INTO graft (grower_id, {string.Join(", ", Columns)}) VALUES (@grower, {string.Join(", ", Columns.Select(c => "@" + c))}) "
        + $"ON CONFLICT (grower_id, label) DO UPDATE SET {string.Join(", ", Columns.Skip(1).Select(c => $"{c} = excluded.{c}"))}";

    private static readonly string Select = $"SELECT {string.Join(", ", Columns.Select(c => "t." + c))} FROM graft t JOIN grower g ON g.id = t.grower_id WHERE g.name = @name ORDER BY t.label";

    public static Task<List<Graft>> LoadAsync(SqlSession session, string grower) => session.ListAsync(Map, Select, ("@name", grower));

    public static Task SaveAsync(SqlSession session, long grower, IReadOnlyList<Graft> grafts) => session.ExecuteManyAsync(Upsert, grafts, graft => Values(grower, graft));

    /// <summary>Whether two records say the same; the list of assumptions counts by its words.</summary>
    public static bool Same(Graft x, Graft y) => x with { Assumed = NoWords } == y with { Assumed = NoWords } && x.Assumed.SequenceEqual(y.Assumed, StringComparer.Ordinal);

    private static (string Name, object? Value)[] Values(long grower, Graft graft) =>
    [
        ("@grower", grower),
        ("@label", graft.Label),
        ("@place", graft.Place),
        ("@block", graft.Block),
        ("@line", graft.Row),
        ("@tree", graft.Tree),
        ("@species", graft.Species),
        ("@scion", graft.Scion),
        ("@stock", graft.Stock),
        ("@technique", Stored.Word(graft.Technique)),
        ("@made", Stored.Date(graft.Made)),
        ("@unions", graft.Count),
        ("@aspect_deg", graft.AspectDeg),
        ("@tilt_deg", graft.TiltDeg),
        ("@height_m", graft.HeightM),
        ("@diameter_m", graft.DiameterM),
        ("@cover", graft.Cover),
        ("@cover_vented", graft.CoverVented),
        ("@tie", graft.Tie),
        ("@seal", graft.Seal),
        ("@shoot_m", graft.ShootM),
        ("@bbch", graft.Bbch),
        ("@nurse_buds", graft.NurseBuds),
        ("@support", Stored.Word(graft.Support)),
        ("@notes", graft.Notes),
        ("@assumed", JsonSerializer.Serialize(graft.Assumed.ToArray(), ColumnJson.Default.StringArray)),
    ];

    private static Graft Map(DbDataReader reader) => new()
    {
        Label = reader.GetString(0),
        Place = reader.GetString(1),
        Block = reader.GetString(2),
        Row = reader.GetString(3),
        Tree = reader.GetString(4),
        Species = reader.GetString(5),
        Scion = reader.GetString(6),
        Stock = reader.GetString(7),
        Technique = reader.Word<Technique>(8),
        Made = reader.Date(9),
        Count = reader.Whole(10),
        AspectDeg = reader.GetDouble(11),
        TiltDeg = reader.GetDouble(12),
        HeightM = reader.GetDouble(13),
        DiameterM = reader.GetDouble(14),
        Cover = reader.GetString(15),
        CoverVented = reader.Flag(16),
        Tie = reader.GetString(17),
        Seal = reader.GetString(18),
        ShootM = reader.NumberOrNull(19),
        Bbch = reader.IsDBNull(20) ? null : reader.Whole(20),
        NurseBuds = reader.Whole(21),
        Support = reader.Word<ShootSupport>(22),
        Notes = reader.GetString(23),
        Assumed = JsonSerializer.Deserialize(reader.GetString(24), ColumnJson.Default.StringArray) ?? NoWords,
    };
}
