using GraftWatch.Microclimate.Response;

namespace GraftWatch.Microclimate.Wind;

/// <summary>The wind's bending moment at a union against what the union stands.</summary>
/// <remarks>Estimates: frontal area, folding, support and union strength are documented defaults. Use the safety factor to choose what to stake first, not as a promise.</remarks>
public static class ShootLoad
{
    /// <summary>Safety factor below which a stake is advised. [-], engineering default.</summary>
    public const double AdvisedSafety = 2.0;

    /// <summary>Moment and safety of every hour.</summary>
    /// <param name="inputs">The shoot.</param>
    /// <param name="gustMPerS">Strongest gusts at 10 m, see <see cref="GustHours"/>. [m/s], 0 or more; NaN gives NaN.</param>
    /// <param name="momentNm">Receives the bending moment at the union [N m]; same length.</param>
    /// <param name="safety">Receives resistance over moment [-]; same length; positive infinity without wind.</param>
    /// <remarks><c>F = ½ ρ Cd(U) A U²</c> [Vogel1984] times <see cref="ShootLeverage.ArmM"/>, against <see cref="UnionBending.ResistanceNm"/>.</remarks>
    /// <exception cref="ArgumentException">The lengths differ.</exception>
    public static void Compute(in ShootLoadInputs inputs, ReadOnlySpan<double> gustMPerS, Span<double> momentNm, Span<double> safety)
    {
        SpanLengths.RequireEqual(gustMPerS.Length, momentNm.Length, nameof(momentNm));
        SpanLengths.RequireEqual(gustMPerS.Length, safety.Length, nameof(safety));
        double areaM2 = ShootDrag.FrontalAreaM2(inputs.ShootLengthM, inputs.ShootDiameterM, inputs.LeafFrac, inputs.LeafyWidthM);
        double armM = ShootLeverage.ArmM(inputs.ShootLengthM, inputs.Support, inputs.TieHeightM);
        double resistanceNm = UnionBending.ResistanceNm(inputs.UnionDiameterM, inputs.StrengthFrac, inputs.WoodStrengthPa);
        for (int i = 0; i < gustMPerS.Length; i++)
        {
            double atShootMPerS = inputs.GustShareFrac * gustMPerS[i];
            momentNm[i] = armM * ShootDrag.ForceN(atShootMPerS, areaM2, inputs.AirDensityKgPerM3);
            safety[i] = resistanceNm / momentNm[i];
        }
    }

    /// <summary>The gust at 10 m at which the safety factor falls to a wanted value.</summary>
    /// <param name="inputs">The shoot.</param>
    /// <param name="wantedSafety">Wanted safety factor. [-], above 0.</param>
    /// <returns>Gust. [m/s]; positive infinity where no wind loads the union; NaN where an input is NaN or out of range.</returns>
    /// <remarks>The inverse of <see cref="Compute"/>: drag grows as U² below <see cref="ShootDrag.FoldingWindMPerS"/> and as U^(2+V) above, [Vogel1984].</remarks>
    public static double GustForSafetyMPerS(in ShootLoadInputs inputs, double wantedSafety)
    {
        double areaM2 = ShootDrag.FrontalAreaM2(inputs.ShootLengthM, inputs.ShootDiameterM, inputs.LeafFrac, inputs.LeafyWidthM);
        double armM = ShootLeverage.ArmM(inputs.ShootLengthM, inputs.Support, inputs.TieHeightM);
        double allowedNm = UnionBending.ResistanceNm(inputs.UnionDiameterM, inputs.StrengthFrac, inputs.WoodStrengthPa) / wantedSafety;
        double foldingNm = armM * ShootDrag.ForceN(ShootDrag.FoldingWindMPerS, areaM2, inputs.AirDensityKgPerM3);
        double ratio = allowedNm / foldingNm;
        double power = ratio <= 1 ? 0.5 : 1 / (2 + ShootDrag.LeafyVogelExponent);
        return ShootDrag.FoldingWindMPerS * Math.Pow(ratio, power) / inputs.GustShareFrac;
    }
}
