namespace GraftWatch.Microclimate.Soil;

/// <summary>Which hourly standard computes reference evapotranspiration.</summary>
public enum ReferenceMethod
{
    /// <summary>ASCE standardized short reference: surface resistance by day and night [ASCE2005], recommended for FAO-56 by the hour since [Allen2006].</summary>
    Asce2005Short,

    /// <summary>FAO-56 as first published, one surface resistance [Allen1998] eq. 53.</summary>
    Fao56,
}
