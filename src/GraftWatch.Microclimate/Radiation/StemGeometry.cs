namespace GraftWatch.Microclimate.Radiation;

/// <summary>Axis of a stem and the patch of its bark that faces a compass direction, as unit vectors east, north, up.</summary>
/// <param name="AxisEast">East component of the axis. [-]</param>
/// <param name="AxisNorth">North component of the axis. [-]</param>
/// <param name="AxisUp">Upward component of the axis. [-], 0 to 1.</param>
/// <param name="NormalEast">East component of the patch normal. [-]</param>
/// <param name="NormalNorth">North component of the patch normal. [-]</param>
/// <param name="NormalUp">Upward component of the patch normal. [-]</param>
public readonly record struct StemGeometry(
    double AxisEast, double AxisNorth, double AxisUp, double NormalEast, double NormalNorth, double NormalUp)
{
    private const double RadPerDeg = Math.PI / 180;

    /// <summary>Geometry of a leaning stem.</summary>
    /// <remarks>The patch normal is the aspect's direction made square to the axis. When stem and aspect are parallel (a level shoot seen from its tip) it is the limit, straight down.</remarks>
    /// <param name="tiltDeg">Lean from the vertical. [°], 0 to 90.</param>
    /// <param name="leanDeg">Compass direction of the lean, clockwise from north. [°]</param>
    /// <param name="aspectDeg">Compass direction the patch faces, clockwise from north. [°]</param>
    /// <returns>The vectors; NaN in gives NaN out.</returns>
    public static StemGeometry Of(double tiltDeg, double leanDeg, double aspectDeg)
    {
        (double sinTilt, double cosTilt) = Math.SinCos(tiltDeg * RadPerDeg);
        (double sinLean, double cosLean) = Math.SinCos(leanDeg * RadPerDeg);
        (double sinAspect, double cosAspect) = Math.SinCos(aspectDeg * RadPerDeg);
        double along = sinTilt * Math.Cos((leanDeg - aspectDeg) * RadPerDeg);
        double axisEast = sinTilt * sinLean;
        double axisNorth = sinTilt * cosLean;
        double length = Math.Sqrt(Math.Max(0, 1 - (along * along)));
        if (length < 1e-7)
        {
            return new StemGeometry(axisEast, axisNorth, cosTilt, 0, 0, -Math.Sign(along));
        }

        return new StemGeometry(
            axisEast,
            axisNorth,
            cosTilt,
            (sinAspect - (along * axisEast)) / length,
            (cosAspect - (along * axisNorth)) / length,
            -along * cosTilt / length);
    }

    /// <summary>Cosine of the angle between the sun and the patch normal. [-]</summary>
    /// <param name="east">East component of the sun's direction. [-]</param>
    /// <param name="north">North component of the sun's direction. [-]</param>
    /// <param name="up">Upward component of the sun's direction. [-]</param>
    public double CosIncidence(double east, double north, double up) => (NormalEast * east) + (NormalNorth * north) + (NormalUp * up);

    /// <summary>Sine of the angle between the sun and the axis: the stem's shadow in diameters. [-], 0 to 1.</summary>
    /// <param name="east">East component of the sun's direction. [-]</param>
    /// <param name="north">North component of the sun's direction. [-]</param>
    /// <param name="up">Upward component of the sun's direction. [-]</param>
    public double SinAxisToSun(double east, double north, double up)
    {
        double cosine = (AxisEast * east) + (AxisNorth * north) + (AxisUp * up);
        return Math.Sqrt(Math.Max(0, 1 - (cosine * cosine)));
    }

    /// <summary>Beam on the whole lateral surface, mean around the stem, for a beam of 1 normal to the sun. [-], 0 to 1/π.</summary>
    /// <param name="east">East component of the sun's direction. [-]</param>
    /// <param name="north">North component of the sun's direction. [-]</param>
    /// <param name="up">Upward component of the sun's direction. [-]</param>
    public double LateralBeamFrac(double east, double north, double up) => SinAxisToSun(east, north, up) / Math.PI;
}
