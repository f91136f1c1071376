using GraftWatch.Aftercare.Grafts;

namespace GraftWatch.Records.Register;

/// <summary>What is taken for a cell the grower left empty. All common practice, no source; docs/register.md lists them.</summary>
public static class RegisterDefaults
{
    /// <summary>Height of the union. [m]</summary>
    public static double HeightM(Technique technique) => technique switch
    {
        Technique.Cleft or Technique.Bark or Technique.Inlay => 1.2,
        Technique.Bridge => 0.4,
        Technique.Approach => 0.5,
        _ => 0.25,
    };

    /// <summary>Diameter at the union. [m]</summary>
    public static double DiameterM(Technique technique) => technique switch
    {
        Technique.Cleft => 0.035,
        Technique.Bark or Technique.Inlay => 0.060,
        Technique.Bridge => 0.100,
        Technique.PatchBud => 0.018,
        _ => 0.012,
    };

    /// <summary>Smallest and largest diameter that makes sense for a technique. [m]</summary>
    public static (double Least, double Most) DiameterRangeM(Technique technique) => technique switch
    {
        Technique.WhipAndTongue or Technique.Splice or Technique.Saddle => (0.002, 0.060),
        Technique.SideVeneer => (0.003, 0.100),
        Technique.ChipBud or Technique.TBud => (0.003, 0.100),
        Technique.PatchBud => (0.006, 0.120),
        Technique.Cleft => (0.004, 0.300),
        Technique.Bark or Technique.Inlay => (0.015, 0.600),
        Technique.Bridge => (0.020, 0.600),
        _ => (0.002, 0.600),
    };

    /// <summary>
    /// Direction the union faces. [°] South-west, north-west south of the equator: the side that is warmest in the afternoon,
    /// so that a hazard of heat is rather announced than missed.
    /// </summary>
    public static double AspectDeg(double latitudeDeg) => latitudeDeg < 0 ? 315 : 225;

    /// <summary>Key of the tie: one that has to be slit, so that a look at it is rather advised than missed.</summary>
    public static string Tie(Technique technique) => technique is Technique.Bark or Technique.Inlay or Technique.Bridge ? "nails" : "budding-strip";

    /// <summary>Key of the seal.</summary>
    public static string Seal(Technique technique) => technique is Technique.ChipBud or Technique.TBud or Technique.PatchBud or Technique.Approach ? "none" : "wax";
}
