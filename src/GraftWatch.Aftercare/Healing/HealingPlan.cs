using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Aftercare.Trade;

namespace GraftWatch.Aftercare.Healing;

/// <summary>How much healing each stage takes for one species and technique. [optimum-days]</summary>
internal sealed class HealingPlan
{
    private static readonly Stage[] ByHealing = [Stage.Callus, Stage.Knit, Stage.Push, Stage.Run, Stage.Ripen];

    private readonly Span3[] spans;

    private HealingPlan(Span3[] spans, Span3 establishedDays)
    {
        this.spans = spans;
        EstablishedDays = establishedDays;
    }

    /// <summary>Calendar days until the tree stands alone. [d]</summary>
    internal Span3 EstablishedDays { get; }

    /// <summary>Reads the plan.</summary>
    /// <param name="thresholds">Where the amounts stand.</param>
    /// <param name="subject">Species and technique.</param>
    /// <param name="species">Gives the species' own factor.</param>
    internal static HealingPlan For(ThresholdSet thresholds, in Subject subject, SpeciesTraits species)
    {
        double joint = species.OptimumDaysFactor * thresholds.Number("healing.factor.joint", subject);
        double stub = thresholds.Number("healing.factor.stub", subject);
        var spans = new Span3[ByHealing.Length];
        for (int i = 0; i < spans.Length; i++)
        {
            double factor = joint * (ByHealing[i] >= Stage.Run ? stub : 1);
            spans[i] = Read(thresholds, "healing." + TradeKey(ByHealing[i]), subject).Times(factor);
        }

        return new HealingPlan(spans, Read(thresholds, "healing.established", subject));
    }

    /// <summary>Healing at which a stage begins; zero for <see cref="Stage.Set"/>.</summary>
    internal Span3 Begin(Stage stage)
    {
        int at = Array.IndexOf(ByHealing, stage);
        return at < 0 ? default : spans[at];
    }

    /// <summary>The stage a healing amount has reached, by the likely values.</summary>
    internal Stage StageAt(double healingDays)
    {
        Stage reached = Stage.Set;
        for (int i = 0; i < spans.Length; i++)
        {
            if (healingDays >= spans[i].Likely)
            {
                reached = ByHealing[i];
            }
        }

        return reached;
    }

    private static Span3 Read(ThresholdSet thresholds, string prefix, in Subject subject) => new(
        thresholds.Number(prefix + ".early", subject), thresholds.Number(prefix + ".likely", subject), thresholds.Number(prefix + ".late", subject));

    private static string TradeKey(Stage stage) => stage switch
    {
        Stage.Callus => "callus",
        Stage.Knit => "knit",
        Stage.Push => "push",
        Stage.Run => "run",
        Stage.Ripen => "ripen",
        _ => throw new ArgumentOutOfRangeException(nameof(stage), stage, "Not a stage the clock drives."),
    };
}

/// <summary>An earliest, likely and latest amount.</summary>
/// <param name="Early">Earliest.</param>
/// <param name="Likely">Likely.</param>
/// <param name="Late">Latest.</param>
internal readonly record struct Span3(double Early, double Likely, double Late)
{
    /// <summary>All three multiplied.</summary>
    internal Span3 Times(double factor) => new(Early * factor, Likely * factor, Late * factor);
}
