namespace GraftWatch.Microclimate.Stem;

/// <summary>Properties of dry air at film temperature, linear between the rows of [Incropera2007] table A.4.</summary>
/// <param name="ViscosityM2PerS">Kinematic viscosity. [m²/s]</param>
/// <param name="ConductivityWPerMK">Thermal conductivity. [W/mK]</param>
/// <param name="Prandtl">Prandtl number. [-]</param>
public readonly record struct AirFilm(double ViscosityM2PerS, double ConductivityWPerMK, double Prandtl)
{
    /// <summary>Film temperatures of the table. [K]</summary>
    internal static ReadOnlySpan<double> TableK => [250, 300, 350, 400];

    private static ReadOnlySpan<double> Viscosity => [11.44e-6, 15.89e-6, 20.92e-6, 26.41e-6];

    private static ReadOnlySpan<double> Conductivity => [22.3e-3, 26.3e-3, 30.0e-3, 33.8e-3];

    private static ReadOnlySpan<double> PrandtlNumber => [0.720, 0.707, 0.700, 0.690];

    /// <summary>Properties at a temperature.</summary>
    /// <param name="filmK">Mean of surface and air temperature. [K], valid 220 to 400; the end segments continue beyond the table.</param>
    /// <returns>The properties; NaN in gives NaN out.</returns>
    public static AirFilm At(double filmK)
    {
        int row = RowOf(filmK);
        double share = (filmK - TableK[row]) / 50;
        return new AirFilm(Between(Viscosity, row, share), Between(Conductivity, row, share), Between(PrandtlNumber, row, share));
    }

    /// <summary>Properties of one table row.</summary>
    internal static AirFilm OfRow(int row) => new(Viscosity[row], Conductivity[row], PrandtlNumber[row]);

    /// <summary>Index of the table row below a film temperature, 0 to 2.</summary>
    internal static int RowOf(double filmK) => filmK < 300 ? 0 : filmK < 350 ? 1 : 2;

    private static double Between(ReadOnlySpan<double> column, int row, double share) =>
        column[row] + (share * (column[row + 1] - column[row]));
}
