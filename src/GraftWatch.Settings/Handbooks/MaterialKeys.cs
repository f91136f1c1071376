using GraftWatch.Settings.Keys;
using GraftWatch.Settings.Quantities;

namespace GraftWatch.Settings.Handbooks;

/// <summary>The keys of materials.toml.</summary>
internal static class MaterialKeys
{
    internal static readonly KeySpec Name = KeySpec.Line("name", "name in letters.", "foil sleeve").AsRequired();
    internal static readonly KeySpec Source = KeySpec.Line("source", "where the numbers come from; say \"common practice, no source\" when there is none.", "common practice, no source").AsRequired();

    internal static readonly KeySpec LayerName = KeySpec.Line("name", "name of the layer.", "foil").AsRequired();
    internal static readonly KeySpec SolarAbsorptance = KeySpec.Number("solar_absorptance", Quantity.Fraction, 0, 1, "share of sunlight the layer swallows.", "0.15").AsRequired();
    internal static readonly KeySpec SolarTransmittance = KeySpec.Number("solar_transmittance", Quantity.Fraction, 0, 1, "share of sunlight that comes through.", "0").Otherwise("0");
    internal static readonly KeySpec Emissivity = KeySpec.Number("emissivity", Quantity.Fraction, 0.03, 1, "how well its outer face gives off heat.", "0.9").AsRequired();
    internal static readonly KeySpec InfraredTransmittance = KeySpec.Number("infrared_transmittance", Quantity.Fraction, 0, 1, "share of heat rays that pass.", "0").Otherwise("0");
    internal static readonly KeySpec GapResistance = KeySpec.Number("gap_resistance", Quantity.ThermalResistance, 0, 1, "thermal resistance of the still air under the layer.", "\"0.03 m²K/W\"").Otherwise("0 m²K/W");
    internal static readonly KeySpec AddedDiameter = KeySpec.Number("added_diameter", Quantity.Length, 0, 0.2, "how much thicker the stem gets.", "\"3 mm\"").Otherwise("3 mm");
    internal static readonly KeySpec VapourPass = KeySpec.Number("vapour_pass", Quantity.Fraction, 0, 1, "share of the water loss that still gets out.", "0.6").Otherwise("1");
    internal static readonly KeySpec Shade = KeySpec.Number("shade", Quantity.Fraction, 0, 1, "nominal shade of a cloth that stands off the stem.", "0.5").Otherwise("0");

    internal static readonly TableSpec LayerTable = new("layers", LayerName, SolarAbsorptance, SolarTransmittance, Emissivity, InfraredTransmittance, GapResistance, AddedDiameter, VapourPass, Shade);
    internal static readonly KeySpec Layers = KeySpec.Sections("layers", LayerTable, "layers, outermost first; an empty list is a bare union.", "layers = []").AsRequired();
    internal static readonly KeySpec FitMinutes = KeySpec.Number("fit_minutes", Quantity.Minutes, 0, 240, "time to put one on.", "\"2 minutes\"").AsRequired();
    internal static readonly KeySpec WetInside = KeySpec.YesNo("wet_inside", "whether water or steam stays under it while it is closed.").Otherwise("false");
    internal static readonly KeySpec FrostGain = KeySpec.Number("frost_gain", Quantity.TemperatureDifference, 0, 10, "what it adds to a shoot's temperature on a frost night.", "\"1.5 K\"").Otherwise("0 K");
    internal static readonly TableSpec CoverTable = new("cover", Name, Layers, FitMinutes, WetInside, FrostGain, Source);

    internal static readonly KeySpec FirstLook = KeySpec.Number("first_look", Quantity.Days, 0, 400, "time to the first look at the tie.", "\"3 weeks\"").AsRequired();
    internal static readonly KeySpec SlitFrom = KeySpec.Number("slit_from", Quantity.Days, 0, 800, "earliest slitting; leave out where a tie is never slit.", "\"6 weeks\"").Otherwise("never slit");
    internal static readonly KeySpec SlitBy = KeySpec.Number("slit_by", Quantity.Days, 0, 800, "latest slitting; leave out where a tie is never slit.", "\"8 weeks\"").Otherwise("never slit");
    internal static readonly KeySpec Rots = KeySpec.YesNo("rots", "whether sun and rain part it by themselves.").Otherwise("false");
    internal static readonly TableSpec TieTable = new("tie", Name, FirstLook, SlitFrom, SlitBy, Rots, Source);

    internal static readonly KeySpec Pass = KeySpec.Number("pass", Quantity.Fraction, 0, 1, "share of the bare water loss that still gets through.", "0.05").AsRequired();
    internal static readonly TableSpec SealTable = new("seal", Name, Pass, Source);

    internal static readonly KeySpec MinutesKey = KeySpec.Number("minutes", Quantity.Minutes, 0, 480, "time for one union, walking not counted.", "\"2 minutes\"").AsRequired();
    internal static readonly KeySpec Bring = KeySpec.Lines("bring", "what to carry.", "[\"knife\"]").OrEmpty().Otherwise("nothing");
    internal static readonly KeySpec WorkSource = KeySpec.Line("source", "where the numbers come from.", "common practice, no source").Otherwise("common practice, no source");
    internal static readonly TableSpec WorkTable = new("work", MinutesKey, Bring, WorkSource);

    internal static readonly KeySpec Covers = KeySpec.NamedSections("cover", CoverTable, "covers by the key the register uses; 'none' is the bare union.", "[cover.foil]").AsRequired();
    internal static readonly KeySpec Ties = KeySpec.NamedSections("tie", TieTable, "ties by the key the register uses; 'none' is no tie.", "[tie.raffia]").AsRequired();
    internal static readonly KeySpec Seals = KeySpec.NamedSections("seal", SealTable, "seals by the key the register uses; 'none' is no seal.", "[seal.wax]").AsRequired();
    internal static readonly KeySpec Work = KeySpec.NamedSections("work", WorkTable, "what each kind of work takes.", "[work.stake]").AsRequired();
    internal static readonly TableSpec Root = new(string.Empty, Covers, Ties, Seals, Work);
}
