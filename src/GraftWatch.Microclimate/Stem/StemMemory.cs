namespace GraftWatch.Microclimate.Stem;

/// <summary>What a stem carries from one hour to the next.</summary>
public record struct StemMemory
{
    /// <summary>No hour before this one: the next starts in equilibrium and unfrozen.</summary>
    public static StemMemory None => new() { EndC = double.NaN, FirstK = double.NaN, EvenK = double.NaN };

    /// <summary>Mean temperature at the end of the hour before; NaN starts in equilibrium. [°C]</summary>
    public double EndC { get; set; }

    /// <summary>Deviation once around the stem at the patch, at the end of the hour before. [K]</summary>
    internal double FirstK { get; set; }

    /// <summary>Deviation of the even terms at the patch, at the end of the hour before. [K]</summary>
    internal double EvenK { get; set; }

    /// <summary>Share of the freezable water that is ice. [-], 0 to 1.</summary>
    public double FrozenFrac { get; set; }

    /// <summary>Convection of the hour before, 0 when there was none. [W/m²K] Where the search starts; it does not change what is found.</summary>
    internal double ConvectionWPerM2K { get; set; }

    /// <summary>Radiative coefficient of the hour before. [W/m²K]</summary>
    internal double RadiationWPerM2K { get; set; }

    /// <summary>Wind of the hour before. [m/s]</summary>
    internal double WindMPerS { get; set; }

    /// <summary>How the found excess answered the tried one in the hour before. [-]</summary>
    internal double Answer { get; set; }
}
