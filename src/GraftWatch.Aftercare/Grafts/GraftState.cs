using NodaTime;

namespace GraftWatch.Aftercare.Grafts;

/// <summary>A graft as it stands now: the register's record with everything the grower saw and did since.</summary>
internal sealed class GraftState
{
    /// <summary>A shoot this long has outgrown the scion's own reserves. [m], common practice, no source.</summary>
    private const double TakenShootM = 0.20;

    private readonly Dictionary<ObservationKind, Instant> lastSeen = [];

    private GraftState(Graft graft)
    {
        Graft = graft;
        Cover = graft.Cover;
        Vented = graft.CoverVented;
        Tie = graft.Tie;
        Seal = graft.Seal;
        ShootM = graft.ShootM;
        Bbch = graft.Bbch;
        Support = graft.Support;
        IsTaken = graft.ShootM >= TakenShootM;
    }

    /// <summary>The register's record.</summary>
    internal Graft Graft { get; }

    /// <summary>Key of the cover on it now.</summary>
    internal string Cover { get; private set; }

    /// <summary>Whether that cover stands open.</summary>
    internal bool Vented { get; private set; }

    /// <summary>Key of the tie still on.</summary>
    internal string Tie { get; private set; }

    /// <summary>Key of the seal.</summary>
    internal string Seal { get; private set; }

    /// <summary>Longest shoot the grower measured. [m]; null when never.</summary>
    internal double? ShootM { get; private set; }

    /// <summary>Latest BBCH code; null when never seen.</summary>
    internal int? Bbch { get; private set; }

    /// <summary>How the shoot is held.</summary>
    internal ShootSupport Support { get; private set; }

    /// <summary>Sightings in rising time, up to now.</summary>
    internal IReadOnlyList<Observation> Seen { get; private set; } = [];

    /// <summary>When something was last seen or done; null when never.</summary>
    internal Instant? Last(ObservationKind kind) => lastSeen.TryGetValue(kind, out Instant at) ? at : null;

    /// <summary>Whether the grower recorded the scion as dead.</summary>
    internal bool IsDead => lastSeen.ContainsKey(ObservationKind.Dead);

    /// <summary>Whether the grower saw it growing on its own vessels: said so, or measured a shoot of 20 cm, or one that had grown by 5 cm.</summary>
    internal bool IsTaken { get; private set; }

    /// <summary>Replays what was seen and done up to now.</summary>
    /// <param name="graft">The register's record.</param>
    /// <param name="observations">This graft's observations, any order.</param>
    /// <param name="now">The instant of the run.</param>
    internal static GraftState Of(Graft graft, IEnumerable<Observation> observations, Instant now)
    {
        var state = new GraftState(graft);
        Observation[] past = [.. observations.Where(o => o.At <= now).OrderBy(o => o.At)];
        foreach (Observation observation in past)
        {
            state.Take(observation);
        }

        state.Seen = past;
        return state;
    }

    private void Take(Observation seen)
    {
        lastSeen[seen.Kind] = seen.At;
        switch (seen.Kind)
        {
            case ObservationKind.Bbch when seen.Value is { } code:
                Bbch = (int)code;
                break;
            case ObservationKind.GreenTip:
                Bbch = Math.Max(Bbch ?? 0, 7);
                break;
            case ObservationKind.LeafOut:
                Bbch = Math.Max(Bbch ?? 0, 11);
                break;
            case ObservationKind.ShootLength when seen.Value is { } length:
                IsTaken |= length >= TakenShootM || (ShootM is { } before && length >= before + 0.05);
                ShootM = length;
                break;
            case ObservationKind.Taken:
                IsTaken = true;
                break;
            case ObservationKind.CoverOn:
                Cover = seen.Words is { Length: > 0 } word ? word : Cover;
                Vented = false;
                break;
            case ObservationKind.CoverVented:
                Vented = true;
                break;
            case ObservationKind.CoverClosed:
                Vented = false;
                break;
            case ObservationKind.CoverOff:
                Cover = "none";
                Vented = false;
                break;
            case ObservationKind.TieOff:
                Tie = "none";
                break;
            case ObservationKind.Resealed:
                Seal = seen.Words is { Length: > 0 } seal ? seal : Seal == "none" ? "wax" : Seal;
                break;
            case ObservationKind.Staked:
                Support = ShootSupport.Staked;
                break;
            case ObservationKind.TiedIn when Support == ShootSupport.Free:
                Support = ShootSupport.Tied;
                break;
            default:
                break;
        }
    }
}
