namespace GraftWatch.Microclimate.Sites;

/// <summary>What the physics needs to know of a place. SI units; angles in degrees.</summary>
public sealed record Site
{
    /// <summary>Latitude, north positive. [°], valid -90 to 90.</summary>
    public required double LatitudeDeg { get; init; }

    /// <summary>Longitude, east positive. [°], valid -180 to 180.</summary>
    public required double LongitudeDeg { get; init; }

    /// <summary>Height above the sea. [m], valid -430 to 9000.</summary>
    public required double ElevationM { get; init; }

    /// <summary>Solar albedo of the ground around the tree. [-]; grass 0.20.</summary>
    public double GroundAlbedoFrac { get; init; } = 0.20;

    /// <summary>Aerodynamic roughness length of the surroundings. [m]; short grass 0.03, scattered trees 0.1, orchard 0.3.</summary>
    public double RoughnessM { get; init; } = 0.03;

    /// <summary>Share of the open-field wind that reaches the union. [-], 0.1 to 1.</summary>
    public double ShelterWindFrac { get; init; } = 1.0;

    /// <summary>How much colder (negative) the place is than the forecast on clear calm nights. [K]; measured hours get none.</summary>
    public double FrostOffsetK { get; init; }

    /// <summary>Height of the skyline by azimuth: entry k is for azimuth k·360/length degrees clockwise from north. [°]; empty means a free horizon.</summary>
    public IReadOnlyList<double> HorizonDeg { get; init; } = [];

    /// <summary>Total available soil water in the root zone of the stock. [mm]; loam over 1 m about 150.</summary>
    public double AvailableSoilWaterMm { get; init; } = 150;
}
