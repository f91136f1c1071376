namespace GraftWatch.Records.Register;

/// <summary>The columns of a register, in the order the export writes them.</summary>
public static class RegisterColumns
{
    internal const string Label = "label";
    internal const string Place = "place";
    internal const string Block = "block";
    internal const string Row = "row";
    internal const string Tree = "tree";
    internal const string Species = "species";
    internal const string Scion = "scion";
    internal const string Stock = "stock";
    internal const string Technique = "technique";
    internal const string Made = "made";
    internal const string Count = "count";
    internal const string Aspect = "aspect";
    internal const string Tilt = "tilt";
    internal const string Height = "height_m";
    internal const string Diameter = "diameter_mm";
    internal const string Cover = "cover";
    internal const string Tie = "tie";
    internal const string Seal = "seal";
    internal const string Shoot = "shoot_cm";
    internal const string Bbch = "bbch";
    internal const string NurseBuds = "nurse_buds";
    internal const string Staked = "staked";
    internal const string Notes = "notes";

    /// <summary>All names in order.</summary>
    public static IReadOnlyList<string> All { get; } =
    [
        Label, Place, Block, Row, Tree, Species, Scion, Stock, Technique, Made, Count, Aspect, Tilt, Height, Diameter, Cover, Tie, Seal, Shoot, Bbch, NurseBuds, Staked, Notes,
    ];

    /// <summary>Columns a header must have.</summary>
    public static IReadOnlyList<string> Required { get; } = [Label, Species, Technique, Made];

    /// <summary>The header line.</summary>
    public static string Header { get; } = string.Join(',', All);
}
