using GraftWatch.Aftercare.Grafts;
using NodaTime;

namespace GraftWatch.Aftercare.Healing;

/// <summary>Where one graft's union stands: the temperature clock, corrected by what the grower saw.</summary>
/// <remarks>
/// A sighting is never overruled. It moves the clock into the range that agrees with it at the hour it was made; from there the
/// clock runs on. Green tips and leaves move it to push, never further: a scion can leaf out on its own reserves. Only a shoot
/// that kept growing, or the grower's word, says that it has taken.
/// </remarks>
internal sealed class HealingClock
{
    private HealingClock(Stage stage, double days, Instant countedFrom, double daysThen)
    {
        Stage = stage;
        Days = days;
        CountedFrom = countedFrom;
        DaysThen = daysThen;
    }

    /// <summary>Stage now.</summary>
    internal Stage Stage { get; }

    /// <summary>Healing now. [optimum-days]</summary>
    internal double Days { get; }

    /// <summary>The grafting or the last sighting that moved the clock.</summary>
    internal Instant CountedFrom { get; }

    /// <summary>Healing at <see cref="CountedFrom"/>. [optimum-days]</summary>
    internal double DaysThen { get; }

    /// <summary>Noon of the day of grafting: the hour a graft without one is taken to be made.</summary>
    internal static Instant MadeAt(Graft graft, DateTimeZone zone) =>
        graft.Made.At(new LocalTime(12, 0)).InZoneLeniently(zone).ToInstant();

    /// <summary>Runs the clock of one graft up to now.</summary>
    /// <param name="state">The graft and its sightings.</param>
    /// <param name="plan">What the stages take.</param>
    /// <param name="path">How fast unions like it heal.</param>
    /// <param name="madeAt">When it was grafted.</param>
    /// <param name="now">The instant of the run.</param>
    /// <param name="sleepsUntil">For buds that wait for spring: until then they knit but do not push. Null for the others.</param>
    internal static HealingClock Run(GraftState state, HealingPlan plan, HealingPath path, Instant madeAt, Instant now, Instant? sleepsUntil = null)
    {
        if (state.IsDead)
        {
            return new HealingClock(Stage.Failed, double.NaN, madeAt, 0);
        }

        Instant at = madeAt;
        double days = 0;
        foreach (Observation seen in state.Seen)
        {
            if (seen.At < madeAt || Agreeing(seen, plan) is not { } range)
            {
                continue;
            }

            double clock = days + path.Between(at, seen.At);
            days = Math.Clamp(clock, range.Low, Math.Max(range.Low, range.High));
            at = seen.At;
        }

        if (sleepsUntil is { } wakes && at < wakes)
        {
            Instant until = wakes < now ? wakes : now;
            double asleep = Math.BitDecrement(plan.Begin(Stage.Push).Likely);
            days = Math.Max(days, Math.Min(asleep, days + Math.Max(0, path.Between(at, Later(at, until)))));
            at = Later(at, until);
        }

        (at, days) = FromRegister(state, plan, path, at, days, now);
        double today = days + Math.Max(0, path.Between(at, Later(at, now)));
        double age = (now - madeAt).TotalDays;
        Stage stage = plan.StageAt(today);
        if (stage == Stage.Ripen && age >= plan.EstablishedDays.Likely)
        {
            stage = Stage.Established;
        }

        return new HealingClock(stage, today, at, days);
    }

    /// <summary>Early, likely and late instants at which a later stage begins; null entries where it cannot be said.</summary>
    internal (Instant? Early, Instant? Likely, Instant? Late) Begins(Stage stage, HealingPlan plan, HealingPath path, Instant madeAt, double spread)
    {
        if (stage == Stage.Established)
        {
            Span3 days = plan.EstablishedDays;
            return (madeAt + Duration.FromDays(days.Early), madeAt + Duration.FromDays(days.Likely), madeAt + Duration.FromDays(days.Late));
        }

        Span3 span = plan.Begin(stage);
        double furthest = stage >= Stage.Ripen ? 300 : 120;
        return (
            path.Reaches(CountedFrom, span.Early - DaysThen, 1 + spread, furthest),
            path.Reaches(CountedFrom, span.Likely - DaysThen, 1, furthest),
            path.Reaches(CountedFrom, span.Late - DaysThen, 1 - spread, furthest));
    }

    // The register's own code and shoot length carry no date; they only lift a clock that lags behind them.
    private static (Instant At, double Days) FromRegister(GraftState state, HealingPlan plan, HealingPath path, Instant at, double days, Instant now)
    {
        double clock = days + Math.Max(0, path.Between(at, Later(at, now)));
        double least = 0;
        if (state.Bbch is { } code)
        {
            least = RangeOf(code, plan).Low;
        }

        if (state.ShootM is { } shoot)
        {
            least = Math.Max(least, ShootRange(shoot, plan).Low);
        }

        if (state.IsTaken)
        {
            least = Math.Max(least, plan.Begin(Stage.Run).Likely);
        }

        return clock < least ? (now, least) : (at, days);
    }

    private static (double Low, double High)? Agreeing(Observation seen, HealingPlan plan) => seen.Kind switch
    {
        ObservationKind.Bbch when seen.Value is { } code => RangeOf((int)code, plan),
        ObservationKind.GreenTip => RangeOf(7, plan),
        ObservationKind.LeafOut => RangeOf(11, plan),
        ObservationKind.ShootLength when seen.Value is { } length => ShootRange(length, plan),
        ObservationKind.Taken or ObservationKind.TieGrooved => (plan.Begin(Stage.Run).Likely, double.PositiveInfinity),
        _ => null,
    };

    private static (double Low, double High) ShootRange(double shootM, HealingPlan plan) =>
        shootM >= 0.15 ? (plan.Begin(Stage.Run).Likely, double.PositiveInfinity) : (plan.Begin(Stage.Push).Likely, plan.Begin(Stage.Ripen).Early);

    private static (double Low, double High) RangeOf(int code, HealingPlan plan)
    {
        double justBefore(Stage stage) => Math.BitDecrement(plan.Begin(stage).Likely);
        return code switch
        {
            <= 2 => (0, justBefore(Stage.Push)),
            <= 6 => (plan.Begin(Stage.Callus).Likely, justBefore(Stage.Run)),
            <= 14 => (plan.Begin(Stage.Push).Likely, justBefore(Stage.Ripen)),
            <= 39 => (plan.Begin(Stage.Run).Likely, double.PositiveInfinity),
            >= 91 => (plan.Begin(Stage.Ripen).Likely, double.PositiveInfinity),
            _ => (plan.Begin(Stage.Push).Likely, double.PositiveInfinity),
        };
    }

    private static Instant Later(Instant a, Instant b) => a > b ? a : b;
}
