using GraftWatch.Microclimate.Longwave;

namespace GraftWatch.Microclimate.Stem;

/// <summary>The mixed convection of <see cref="Convection"/> for one diameter, arranged so that an evaluation takes one power and two cube roots.</summary>
/// <remarks>
/// The factors that hold only the Prandtl number are interpolated between table rows instead of being computed, which is within
/// 1e-4 of the plain form (a test holds it there); Re^(5/8) and Ra^(1/6) come from square and cube roots.
/// </remarks>
internal readonly struct ConvectionKernel
{
    private const double GravityMPerS2 = 9.80665;
    private static readonly FilmFactors[] Rows = [.. Enumerable.Range(0, 4).Select(FilmFactors.OfRow)];
    private static readonly FilmFactors[] Slopes = [.. Enumerable.Range(0, 3).Select(i => FilmFactors.Slope(Rows[i], Rows[i + 1]))];

    private readonly double diameterM;
    private readonly double cubeTimesGravity;
    private readonly double perDiameter;
    private readonly double enhancement;

    /// <summary>Prepares one diameter.</summary>
    /// <param name="diameterM">Outer diameter. [m], 0.001 to 1.</param>
    /// <param name="enhancement">Outdoor enhancement. [-]</param>
    internal ConvectionKernel(double diameterM, double enhancement)
    {
        this.diameterM = diameterM;
        cubeTimesGravity = GravityMPerS2 * diameterM * diameterM * diameterM;
        perDiameter = 1 / diameterM;
        this.enhancement = enhancement;
    }

    /// <summary>Coefficient for a wind and a surface that is warmer or colder than the air.</summary>
    /// <param name="windMPerS">Wind at the cylinder, already at least <see cref="Convection.CalmMPerS"/>. [m/s]</param>
    /// <param name="airC">Air temperature. [°C]</param>
    /// <param name="excessK">Surface minus air temperature. [K]</param>
    /// <returns>Coefficient. [W/m²K]; NaN in gives NaN out.</returns>
    internal double CoefficientWPerM2K(double windMPerS, double airC, double excessK)
    {
        double filmK = airC + ThermalSky.ZeroCelsiusK + (0.5 * excessK);
        int row = AirFilm.RowOf(filmK);
        double above = filmK - AirFilm.TableK[row];
        ref readonly FilmFactors low = ref Rows[row];
        ref readonly FilmFactors slope = ref Slopes[row];
        double perViscosity = 1 / (low.Viscosity + (above * slope.Viscosity));
        double conductivity = low.Conductivity + (above * slope.Conductivity);

        double reynolds = windMPerS * diameterM * perViscosity;
        double eighthRoot = Math.Sqrt(Math.Sqrt(Math.Sqrt(reynolds * (1.0 / 282000))));
        double square = eighthRoot * eighthRoot;
        double forced = enhancement
            * (0.3 + ((low.Forced + (above * slope.Forced)) * Math.Sqrt(reynolds) * Math.Pow(1 + (square * square * eighthRoot), 0.8)));

        double rayleigh = cubeTimesGravity * Math.Abs(excessK) * (low.Prandtl + (above * slope.Prandtl)) * perViscosity * perViscosity / filmK;
        double free = 0.60 + ((low.Free + (above * slope.Free)) * Math.Sqrt(Math.Cbrt(rayleigh)));
        free *= free;
        return perDiameter * conductivity * Math.Cbrt((forced * forced * forced) + (free * free * free));
    }

    private readonly record struct FilmFactors(double Viscosity, double Conductivity, double Prandtl, double Forced, double Free)
    {
        internal static FilmFactors OfRow(int row)
        {
            AirFilm film = AirFilm.OfRow(row);
            return new FilmFactors(
                film.ViscosityM2PerS,
                film.ConductivityWPerMK,
                film.Prandtl,
                0.62 * Math.Cbrt(film.Prandtl) / Math.Pow(1 + Math.Pow(0.4 / film.Prandtl, 2.0 / 3), 0.25),
                0.387 / Math.Pow(1 + Math.Pow(0.559 / film.Prandtl, 9.0 / 16), 8.0 / 27));
        }

        internal static FilmFactors Slope(in FilmFactors low, in FilmFactors high) => new(
            (high.Viscosity - low.Viscosity) / 50,
            (high.Conductivity - low.Conductivity) / 50,
            (high.Prandtl - low.Prandtl) / 50,
            (high.Forced - low.Forced) / 50,
            (high.Free - low.Free) / 50);
    }
}
