using GraftWatch.Settings.Keys;
using GraftWatch.Settings.Quantities;

namespace GraftWatch.Settings.Handbooks;

/// <summary>The keys of species.toml.</summary>
internal static class SpeciesKeys
{
    internal static readonly KeySpec Source = KeySpec.Lines("source", "where the numbers come from; say \"common practice, no source\" when there is none.", "\"common practice, no source\"").AsRequired();

    internal static readonly KeySpec Temperatures = KeySpec.Numbers("temperatures", Quantity.Temperature, -5, 60, "cambium temperatures of the curve's points, rising.", "[\"4 °C\", \"20 °C\", \"38 °C\"]").AsRequired();
    internal static readonly KeySpec Rates = KeySpec.Numbers("rates", Quantity.Fraction, 0, 1, "healing rate at each temperature, 0 (none) to 1 (fastest).", "[0, 0.8, 0]").AsRequired();

    internal static readonly KeySpec Name = KeySpec.Line("name", "name in letters.", "apple").AsRequired();
    internal static readonly KeySpec Also = KeySpec.Lines("also", "other words the register may use.", "[\"malus\"]").OrEmpty().Otherwise("none");
    internal static readonly KeySpec Curve = KeySpec.Line("curve", "one of the healing curves.", "cool").AsRequired();
    internal static readonly KeySpec OptimumDaysFactor = KeySpec.Number("optimum_days_factor", Quantity.Index, 0.3, 3, "stretches (above 1) or shortens every healing stage.", "1.0").Otherwise("1");
    internal static readonly KeySpec TakeFrom = KeySpec.Number("take_from", Quantity.Temperature, -5, 50, "lower end of the temperatures that give the best take.", "\"13 °C\"").AsRequired();
    internal static readonly KeySpec TakeTo = KeySpec.Number("take_to", Quantity.Temperature, -5, 50, "upper end of them.", "\"18 °C\"").AsRequired();
    internal static readonly KeySpec CallusRetarded = KeySpec.Number("callus_retarded", Quantity.Temperature, 15, 60, "cambium temperature above which callus is held back.", "\"32 °C\"").AsRequired();
    internal static readonly KeySpec CallusKilled = KeySpec.Number("callus_killed", Quantity.Temperature, 20, 70, "cambium temperature at which callus dies.", "\"40 °C\"").AsRequired();
    internal static readonly KeySpec ColdStall = KeySpec.Number("cold_stall", Quantity.Temperature, -10, 30, "daily mean below which healing all but stops.", "\"4 °C\"").AsRequired();
    internal static readonly KeySpec Bleeding = KeySpec.OneOf("bleeding", ["none", "slight", "moderate", "strong"], "how hard the stock bleeds when cut.").AsRequired();
    internal static readonly KeySpec SapWeight = KeySpec.Number("sap_weight", Quantity.Fraction, 0, 1, "how hard the roots push sap up a topped stock, 0 to 1.", "0.2").AsRequired();
    internal static readonly KeySpec FreezeThawSap = KeySpec.YesNo("freeze_thaw_sap", "whether frost and thaw by themselves drive sap.").Otherwise("false");
    internal static readonly KeySpec BarkAbsorptance = KeySpec.Number("bark_absorptance", Quantity.Fraction, 0.1, 1, "share of sunlight its young bark swallows.", "0.80").Otherwise("0.80");
    internal static readonly KeySpec GreenWoodStrength = KeySpec.Number("green_wood_strength", Quantity.Strength, 5e6, 200e6, "bending strength of its green wood.", "\"60 MPa\"").Otherwise("60 MPa");
    internal static readonly KeySpec Evergreen = KeySpec.YesNo("evergreen", "whether the scion keeps its leaves or is grafted in leaf.").Otherwise("false");
    internal static readonly KeySpec HardyDormant = KeySpec.YesNo("hardy_dormant", "whether a dormant scion stands hard frost.").Otherwise("true");
    internal static readonly KeySpec SlitAtShoot = KeySpec.Number("slit_at_shoot", Quantity.Length, 0.02, 2, "slit the tie at the latest when the shoot is this long.", "\"20 cm\"").Otherwise("20 cm");
    internal static readonly KeySpec StockShootsEvery = KeySpec.Number("stock_shoots_every", Quantity.Days, 1, 60, "days between two visits to rub off stock shoots, whole days.", "\"7 days\"").Otherwise("7 days");
    internal static readonly KeySpec SkinCaution = KeySpec.Line("skin_caution", "a word of warning where the sap hurts.", "Sap and sun together burn the skin.").Otherwise("none");

    internal static readonly KeySpec BbchFrom = KeySpec.Whole("bbch_from", 0, 99, "first BBCH code of the row.", "51").AsRequired();
    internal static readonly KeySpec BbchTo = KeySpec.Whole("bbch_to", 0, 99, "last BBCH code of the row.", "52").AsRequired();
    internal static readonly KeySpec FrostName = KeySpec.Line("name", "name of the row in the table.", "silver tip").AsRequired();
    internal static readonly KeySpec Kill10 = KeySpec.Number("kill10", Quantity.Temperature, -45, 2, "temperature that kills one bud in ten in half an hour.", "\"-9.4 °C\"").AsRequired();
    internal static readonly KeySpec Kill90 = KeySpec.Number("kill90", Quantity.Temperature, -50, 2, "temperature that kills nine in ten.", "\"-16.7 °C\"").Otherwise("not known");

    internal static readonly TableSpec CurveTable = new("curve", Temperatures, Rates, Source);
    internal static readonly TableSpec FrostTable = new("frost", BbchFrom, BbchTo, FrostName, Kill10, Kill90);
    internal static readonly KeySpec Frost = KeySpec.Sections("frost", FrostTable, "temperatures that kill buds, by BBCH code, in rising order.", "frost = [{ bbch_from = 51, bbch_to = 52, name = \"silver tip\", kill10 = \"-9.4 °C\", kill90 = \"-16.7 °C\" }]").Otherwise("none known");
    internal static readonly TableSpec SpeciesTable = new(
        "species", Name, Also, Curve, OptimumDaysFactor, TakeFrom, TakeTo, CallusRetarded, CallusKilled, ColdStall, Bleeding, SapWeight, FreezeThawSap,
        BarkAbsorptance, GreenWoodStrength, Evergreen, HardyDormant, SlitAtShoot, StockShootsEvery, Frost, SkinCaution, Source);

    internal static readonly KeySpec Curves = KeySpec.NamedSections("curve", CurveTable, "healing curves by name.", "[curve.cool]").AsRequired();
    internal static readonly KeySpec Species = KeySpec.NamedSections("species", SpeciesTable, "species by the key the register uses.", "[species.apple]").AsRequired();
    internal static readonly TableSpec Root = new(string.Empty, Curves, Species);
}
