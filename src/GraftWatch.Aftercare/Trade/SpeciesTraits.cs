namespace GraftWatch.Aftercare.Trade;

/// <summary>What the handbook says of one species; every number comes from species.toml and can be edited there.</summary>
public sealed record SpeciesTraits
{
    /// <summary>Key used in the register, such as <c>apple</c>.</summary>
    public required string Key { get; init; }

    /// <summary>Name in letters.</summary>
    public required string Name { get; init; }

    /// <summary>Other words the register may use for it.</summary>
    public IReadOnlyList<string> AlsoCalled { get; init; } = [];

    /// <summary>Healing rate against cambium temperature.</summary>
    public required HealingCurve Curve { get; init; }

    /// <summary>Multiplies the optimum-days of every stage. [-], 0.3 to 3.</summary>
    public double OptimumDaysFactor { get; init; } = 1;

    /// <summary>Lower end of the temperatures that give the best take, for choosing the grafting day. [°C]; NaN when not known.</summary>
    public double TakeFromC { get; init; } = double.NaN;

    /// <summary>Upper end of the temperatures that give the best take. [°C]; NaN when not known.</summary>
    public double TakeToC { get; init; } = double.NaN;

    /// <summary>Cambium temperature above which callus is held back. [°C]</summary>
    public required double CallusRetardedC { get; init; }

    /// <summary>Cambium temperature at which callus dies. [°C]</summary>
    public required double CallusKilledC { get; init; }

    /// <summary>Daily mean below which healing all but stops. [°C]</summary>
    public required double ColdStallC { get; init; }

    /// <summary>How hard the stock bleeds.</summary>
    public required BleedClass Bleeding { get; init; }

    /// <summary>Weight of the species in the sap index. [-], 0 to 1.</summary>
    public required double SapWeightFrac { get; init; }

    /// <summary>Whether freeze and thaw drive its stem pressure.</summary>
    public bool FreezeThawSap { get; init; }

    /// <summary>Share of sunlight its bark absorbs. [-]</summary>
    public double BarkSolarAbsorptanceFrac { get; init; } = 0.80;

    /// <summary>Bending strength of its green wood. [Pa]</summary>
    public double GreenWoodStrengthPa { get; init; } = 60e6;

    /// <summary>Whether it keeps its leaves, or is grafted in leaf.</summary>
    public bool Evergreen { get; init; }

    /// <summary>Whether a dormant scion of it stands hard frost.</summary>
    public bool HardyDormant { get; init; } = true;

    /// <summary>Shoot length at which its tie is slit at the latest. [m]</summary>
    public double SlitAtShootM { get; init; } = 0.20;

    /// <summary>Days between two visits for stock shoots.</summary>
    public int StockShootEveryDays { get; init; } = 7;

    /// <summary>Lethal temperatures by BBCH code of the buds, in rising order of code.</summary>
    public IReadOnlyList<FrostRow> Frost { get; init; } = [];

    /// <summary>A caution for the skin (fig sap, mulberry latex), or null.</summary>
    public string? SkinCaution { get; init; }

    /// <summary>Where the numbers come from.</summary>
    public IReadOnlyList<string> Sources { get; init; } = [];
}

/// <summary>Relative healing rate at given cambium temperatures, straight between the points, 0 outside them.</summary>
/// <param name="Key">Name in species.toml.</param>
/// <param name="TemperaturesC">Rising. [°C]</param>
/// <param name="Rates">0 to 1, as many as temperatures. [-]</param>
public sealed record HealingCurve(string Key, IReadOnlyList<double> TemperaturesC, IReadOnlyList<double> Rates);

/// <summary>Temperatures that kill a tenth and nine tenths of the buds in half an hour, for a span of BBCH codes.</summary>
/// <param name="BbchFrom">First code.</param>
/// <param name="BbchTo">Last code.</param>
/// <param name="Name">The row's name in the table.</param>
/// <param name="Kill10C">10 % killed. [°C]</param>
/// <param name="Kill90C">90 % killed. [°C]; NaN where the table has no value.</param>
public sealed record FrostRow(int BbchFrom, int BbchTo, string Name, double Kill10C, double Kill90C);

/// <summary>How hard a stock bleeds when cut.</summary>
public enum BleedClass
{
    /// <summary>Not at all; no relief cuts.</summary>
    None = 0,

    /// <summary>Slightly, or gums when topped.</summary>
    Slight,

    /// <summary>Moderately.</summary>
    Moderate,

    /// <summary>Strongly.</summary>
    Strong,
}
