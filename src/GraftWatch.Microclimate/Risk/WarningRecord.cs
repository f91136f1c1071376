namespace GraftWatch.Microclimate.Risk;

/// <summary>What became of warnings: the two-by-two table of forecast verification.</summary>
/// <param name="Hits">Warned, and it came. [-]</param>
/// <param name="Misses">Not warned, and it came. [-]</param>
/// <param name="FalseAlarms">Warned, and it did not come. [-]</param>
/// <param name="Quiet">Not warned, and it did not come. [-]</param>
/// <remarks>Rates are NaN where nothing can be divided. [Wilks2011] sec. 8.2.</remarks>
public readonly record struct WarningRecord(int Hits, int Misses, int FalseAlarms, int Quiet)
{
    /// <summary>All cases. [-]</summary>
    public int Cases => Hits + Misses + FalseAlarms + Quiet;

    /// <summary>How often it came. [-], 0 to 1.</summary>
    public double BaseRateFrac => Share(Hits + Misses, Cases);

    /// <summary>Share of what came that was warned of. [-], 0 to 1.</summary>
    public double HitRateFrac => Share(Hits, Hits + Misses);

    /// <summary>Share of what did not come that was warned of. [-], 0 to 1.</summary>
    public double FalseAlarmRateFrac => Share(FalseAlarms, FalseAlarms + Quiet);

    /// <summary>Share of warnings after which nothing came: what a grower remembers. [-], 0 to 1.</summary>
    public double FalseAlarmRatioFrac => Share(FalseAlarms, Hits + FalseAlarms);

    /// <summary>Share of cases told rightly. [-], 0 to 1; high for rare events whatever the warnings are worth.</summary>
    public double RightFrac => Share(Hits + Quiet, Cases);

    private static double Share(int part, int whole) => whole == 0 ? double.NaN : (double)part / whole;
}
