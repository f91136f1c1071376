namespace GraftWatch.Records.Register;

/// <summary>The columns of a register, in the order the export writes them.</summary>
public static class RegisterColumns
{
    /// <summary>Column label.</summary>
    public const string Label = "label";

    /// <summary>Column place.</summary>
    public const string Place = "place";

    /// <summary>Column block.</summary>
    public const string Block = "block";

    /// <summary>Column row.</summary>
    public const string Row = "row";

    /// <summary>Column tree.</summary>
    public const string Tree = "tree";

    /// <summary>Column species.</summary>
    public const string Species = "species";

    /// <summary>Column scion.</summary>
    public const string Scion = "scion";

    /// <summary>Column stock.</summary>
    public const string Stock = "stock";

    /// <summary>Column technique.</summary>
    public const string Technique = "technique";

    /// <summary>Column made.</summary>
    public const string Made = "made";

    /// <summary>Column count.</summary>
    public const string Count = "count";

    /// <summary>Column aspect.</summary>
    public const string Aspect = "aspect";

    /// <summary>Column tilt.</summary>
    public const string Tilt = "tilt";

    /// <summary>Column height_m.</summary>
    public const string Height = "height_m";

    /// <summary>Column diameter_mm.</summary>
    public const string Diameter = "diameter_mm";

    /// <summary>Column cover.</summary>
    public const string Cover = "cover";

    /// <summary>Column tie.</summary>
    public const string Tie = "tie";

    /// <summary>Column seal.</summary>
    public const string Seal = "seal";

    /// <summary>Column shoot_cm.</summary>
    public const string Shoot = "shoot_cm";

    /// <summary>Column bbch.</summary>
    public const string Bbch = "bbch";

    /// <summary>Column nurse_buds.</summary>
    public const string NurseBuds = "nurse_buds";

    /// <summary>Column staked.</summary>
    public const string Staked = "staked";

    /// <summary>Column notes.</summary>
    public const string Notes = "notes";

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
