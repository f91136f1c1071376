using GraftWatch.Microclimate.Response;

namespace GraftWatch.Microclimate.Soil;

/// <summary>An index of root pressure: how likely a cut stock is to bleed.</summary>
/// <remarks>
/// An engineering form, 0 to 1, not a pressure. Its parts follow the evidence: pressure rises as the soil warms and fails in dry
/// soil [Keller2020]; it ends when leaves draw water, as birch shows [Zajaczkowska2019]; freezing and thawing add to it in walnut
/// [Ameglio2001]; apple refills slowly in spite of wet soil [Beikircher2017]. The numbers themselves are common practice, no source.
/// </remarks>
public static class SapIndex
{
    /// <summary>Index above which relief cuts or a delay are advised for moderate and strong classes. [-], engineering default.</summary>
    public const double AdvisedAbove = 0.6;

    /// <summary>What freezing and thawing of the stem within two days add. [-], engineering default.</summary>
    public const double FreezeThawExtra = 0.3;

    /// <summary>How long a freeze-thaw lasts in the index. [h], [Ameglio2001] relates pressure to the 48 h before.</summary>
    public const int FreezeThawHours = 48;

    /// <summary>Weight of a class.</summary>
    /// <param name="sapClass">The class.</param>
    /// <returns>Weight. [-], 0.2, 0.3, 0.6 or 1.</returns>
    public static double WeightOf(SapClass sapClass) => sapClass switch
    {
        SapClass.Slight => 0.2,
        SapClass.Gumming => 0.3,
        SapClass.Moderate => 0.6,
        SapClass.Strong => 1.0,
        _ => throw new ArgumentOutOfRangeException(nameof(sapClass), sapClass, "Unknown class."),
    };

    /// <summary>Part of the soil's warmth: nothing at 2 °C, all at 10 °C.</summary>
    /// <param name="soilC">Root-zone temperature. [°C]</param>
    /// <returns>Factor. [-], 0 to 1; NaN where the input is NaN.</returns>
    public static double WarmthFactor(double soilC) => Math.Clamp((soilC - 2) / (10 - 2), 0, 1);

    /// <summary>Part of the soil's water: nothing at 0.4 of the available water, all at 0.8; recent rain alone can lift it to 0.8.</summary>
    /// <param name="waterFrac">Available water left. [-], 0 to 1.</param>
    /// <param name="rainThreeDaysMm">Rain of the last three days. [mm], 0 or more.</param>
    /// <returns>Factor. [-], 0 to 1; NaN where an input is NaN.</returns>
    public static double WaterFactor(double waterFrac, double rainThreeDaysMm)
    {
        double fromStore = Math.Clamp((waterFrac - 0.4) / 0.4, 0, 1);
        return Math.Max(fromStore, 0.8 * RainFactor(rainThreeDaysMm));
    }

    /// <summary>Wetting by recent rain, <c>1 - exp(-P/15 mm)</c>.</summary>
    /// <param name="rainThreeDaysMm">Rain of the last three days. [mm], 0 or more.</param>
    /// <returns>Factor. [-], 0 to 1; NaN where the input is NaN.</returns>
    public static double RainFactor(double rainThreeDaysMm) => 1 - Math.Exp(-rainThreeDaysMm / 15);

    /// <summary>Part that leaves do not draw off: 1 leafless, half where leaf share times demand reaches 1.5 mm/d.</summary>
    /// <param name="leafFrac">Share of full leaf. [-], 0 to 1.</param>
    /// <param name="etDayMm">Reference evapotranspiration of the day. [mm], negative counts as none.</param>
    /// <returns>Factor. [-], 0 to 1; NaN where an input is NaN.</returns>
    public static double DemandFactor(double leafFrac, double etDayMm)
    {
        double pull = leafFrac * Math.Max(etDayMm, 0) / 1.5;
        return 1 / (1 + (pull * pull));
    }

    /// <summary>The index from its parts, without freeze-thaw.</summary>
    /// <param name="soilC">Root-zone temperature, 0 to 30 cm. [°C]</param>
    /// <param name="waterFrac">Available water left. [-], 0 to 1.</param>
    /// <param name="rainThreeDaysMm">Rain of the last three days. [mm], 0 or more.</param>
    /// <param name="etDayMm">Reference evapotranspiration of the day. [mm]</param>
    /// <param name="leafFrac">Share of full leaf. [-], 0 to 1.</param>
    /// <param name="sapClassWeight">Weight of the class, see <see cref="WeightOf"/>. [-], 0 to 1.</param>
    /// <returns>Index. [-], 0 to the weight; NaN where an input is NaN.</returns>
    public static double Value(
        double soilC,
        double waterFrac,
        double rainThreeDaysMm,
        double etDayMm,
        double leafFrac,
        double sapClassWeight) =>
        sapClassWeight * WarmthFactor(soilC) * WaterFactor(waterFrac, rainThreeDaysMm) * DemandFactor(leafFrac, etDayMm);

    /// <summary>The index of every hour of a place for one kind of stock.</summary>
    /// <param name="rootZone">The place's root zone.</param>
    /// <param name="sapClassWeight">Weight of the class, see <see cref="WeightOf"/>. [-], 0 to 1.</param>
    /// <param name="leafFrac">Share of full leaf of the stock. [-], 0 to 1.</param>
    /// <param name="freezeThaw">Whether freezing and thawing add pressure: maple and walnut.</param>
    /// <param name="stemC">Mean stem temperature of every hour, read only for freeze-thaw species. [°C]</param>
    /// <param name="destination">Receives the index [-], 0 to 1; length of the root zone. NaN where a part is unknown.</param>
    /// <remarks>
    /// Freeze-thaw: <see cref="FreezeThawExtra"/> is added, up to 1, while the stem crossed 0 °C both ways within <see cref="FreezeThawHours"/>;
    /// hours without a stem temperature have no side. Where the root zone's rain is assumed, recent rain counts as none.
    /// </remarks>
    /// <exception cref="ArgumentException">A length differs.</exception>
    public static void Compute(
        RootZoneHours rootZone,
        double sapClassWeight,
        double leafFrac,
        bool freezeThaw,
        ReadOnlySpan<double> stemC,
        Span<double> destination)
    {
        SpanLengths.RequireEqual(rootZone.Hours, destination.Length, nameof(destination));
        if (freezeThaw)
        {
            SpanLengths.RequireEqual(rootZone.Hours, stemC.Length, nameof(stemC));
        }

        bool assumed = rootZone.Water == WaterBasis.Assumed;
        var crossings = new StemCrossings();
        for (int i = 0; i < destination.Length; i++)
        {
            double index = Value(
                rootZone.SoilC[i],
                rootZone.WaterFrac[i],
                assumed ? 0 : rootZone.RainThreeDaysMm[i],
                rootZone.EtDayMm[i],
                leafFrac,
                sapClassWeight);
            if (freezeThaw && crossings.Next(i, stemC[i]))
            {
                index = Math.Min(index + FreezeThawExtra, 1);
            }

            destination[i] = index;
        }
    }

    /// <summary>Remembers when a stem last froze and last thawed.</summary>
    private struct StemCrossings
    {
        private int side;
        private int frozeAt;
        private int thawedAt;

        public StemCrossings()
        {
            frozeAt = thawedAt = -FreezeThawHours - 1;
        }

        /// <summary>Takes the next hour; true while both crossings lie within the window.</summary>
        public bool Next(int hour, double stemC)
        {
            int now = double.IsNaN(stemC) || stemC == 0 ? side : Math.Sign(stemC);
            if (now < 0 && side > 0)
            {
                frozeAt = hour;
            }
            else if (now > 0 && side < 0)
            {
                thawedAt = hour;
            }

            side = now;
            return hour - frozeAt <= FreezeThawHours && hour - thawedAt <= FreezeThawHours;
        }
    }
}
