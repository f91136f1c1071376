using System.Collections.Concurrent;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Rounds.Pipeline;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Pages.Today;

/// <summary>Keeps each grower's register and round of today, so that a page need not compute ten thousand unions.</summary>
/// <remarks>
/// A small register is computed anew before the page is shown when something changed. A large one is computed beside it, and
/// the page says that it is behind. Answers and notes are seen by the store's mark, whoever made them. A change of the register
/// is told by <see cref="Changed"/>; one of another process is seen within <see cref="RegisterAge"/>. Places are compared with every
/// look. What nobody asked for in two
/// hours is forgotten.
/// </remarks>
internal sealed class GrowerDays(RoundMaking rounds, IRegister register, IAnswerBook answers, Func<CancellationToken, Task<MorningSettings>> settings)
{
    /// <summary>How long a register that was loaded is taken for the register.</summary>
    internal static readonly Duration RegisterAge = Duration.FromMinutes(1);

    private const int Small = 1500;
    private static readonly Duration WeatherAge = Duration.FromMinutes(30);
    private static readonly Duration KeptFor = Duration.FromHours(2);
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(8);
    private readonly ConcurrentDictionary<string, Kept> growers = new(StringComparer.Ordinal);

    /// <summary>Says that a grower's register was changed.</summary>
    internal void Changed(string grower)
    {
        Kept kept = KeptOf(grower);
        Interlocked.Increment(ref kept.Version);
        kept.Register = null;
    }

    /// <summary>The grower's grafts in walking order.</summary>
    internal async Task<IReadOnlyList<Graft>> GraftsAsync(Grower grower, Instant now, CancellationToken cancellationToken)
    {
        Kept kept = KeptOf(grower.Name);
        if (kept.Register is { } known && now - known.At < RegisterAge && now >= known.At)
        {
            return known.Grafts;
        }

        int version = kept.Version;
        IReadOnlyList<Graft> grafts = await register.LoadGraftsAsync(grower.Name, cancellationToken).ConfigureAwait(false);
        if (kept.Register is { Grafts: var before } && before.Count == grafts.Count && before.SequenceEqual(grafts, SameRecord.Instance))
        {
            grafts = before;
        }

        if (kept.Version == version)
        {
            kept.Register = new Loaded(grafts, now);
        }

        return grafts;
    }

    /// <summary>The grower's places.</summary>
    internal async Task<IReadOnlyList<Place>> PlacesAsync(Grower grower, CancellationToken cancellationToken)
    {
        MorningSettings morning = await settings(cancellationToken).ConfigureAwait(false);
        return [.. grower.Places.Select(name => morning.Places.GetValueOrDefault(name)).OfType<Place>()];
    }

    /// <summary>The grower's round of today; null while the first of a large register is still being computed.</summary>
    internal async Task<GrowerDay?> GetAsync(Grower grower, Instant now, CancellationToken cancellationToken)
    {
        Forget(now);
        Kept kept = KeptOf(grower.Name);
        kept.AskedAt = now;
        MorningSettings morning = await settings(cancellationToken).ConfigureAwait(false);
        IReadOnlyList<Graft> grafts = await GraftsAsync(grower, now, cancellationToken).ConfigureAwait(false);
        string mark = await answers.MarkAsync(grower.Name, cancellationToken).ConfigureAwait(false);
        GrowerDay? day = kept.Day;
        bool usable = day is not null && day.Round.Date == now.InZone(grower.Zone).Date && SameGrower(day.Grower, grower) && SamePlaces.Hold(day.Request, morning) && ReferenceEquals(day.Request.Handbook, morning.Handbook);
        bool same = usable && day!.Mark == mark && ReferenceEquals(day.Request.Grafts, grafts);
        if (same && now - day!.WeatherAt < WeatherAge)
        {
            return day;
        }

        Task<GrowerDay> making = Make(kept, grower, grafts, mark, morning, now);
        if (usable && (same || grafts.Count > Small) && !making.IsCompleted)
        {
            return day! with { IsBehind = !same };
        }

        if (grafts.Count > Small && !making.IsCompleted)
        {
            await Task.WhenAny(making, Task.Delay(Patience, cancellationToken)).ConfigureAwait(false);
            if (!making.IsCompleted)
            {
                return null;
            }
        }

        return await making.WaitAsync(cancellationToken).ConfigureAwait(false);
    }

    private void Forget(Instant now)
    {
        foreach ((string name, Kept kept) in growers)
        {
            if (now - kept.AskedAt > KeptFor && kept.Making is null or { IsCompleted: true })
            {
                growers.TryRemove(name, out _);
            }
        }
    }

    private Task<GrowerDay> Make(Kept kept, Grower grower, IReadOnlyList<Graft> grafts, string mark, MorningSettings morning, Instant now)
    {
        lock (kept.Gate)
        {
            Wanted wanted = new(grafts, mark, morning.Places);
            if (kept.Making is { IsCompleted: false } running && kept.Wanted is { } before && before.Is(wanted))
            {
                return running;
            }

            kept.Wanted = wanted;
            GrowerDay? last = kept.Day;
            return kept.Making = Task.Run(async () => kept.Day = await MakeAsync(last, grower, grafts, mark, morning, now).ConfigureAwait(false), CancellationToken.None);
        }
    }

    private async Task<GrowerDay> MakeAsync(GrowerDay? before, Grower grower, IReadOnlyList<Graft> grafts, string mark, MorningSettings morning, Instant now)
    {
        LocalDate date = now.InZone(grower.Zone).Date;
        bool fresh = before is not null && before.Round.Date == date && SameGrower(before.Grower, grower) && SamePlaces.Hold(before.Request, morning) && now - before.WeatherAt < WeatherAge
            && grafts.All(graft => before.Request.Places.Any(place => place.Place.Name == graft.Place));
        RoundRequest request = fresh
            ? before!.Request with
            {
                Now = now,
                Handbook = morning.Handbook,
                Observations = await register.LoadObservationsAsync(grower.Name, CancellationToken.None).ConfigureAwait(false),
                Said = await register.LoadSaidAsync(grower.Name, CancellationToken.None).ConfigureAwait(false),
            }
            : await rounds.GatherAsync(grower, date, morning, now, CancellationToken.None).ConfigureAwait(false);
        request = request with { Grafts = grafts };
        return new GrowerDay(grower, request, RoundMaker.Make(request))
        {
            WeatherAt = fresh ? before!.WeatherAt : now,
            Mark = mark,
            RegisterTrouble = register.TroubleOf(grower.Name),
        };
    }

    private Kept KeptOf(string grower) => growers.GetOrAdd(grower, static _ => new Kept());

    private static bool SameGrower(Grower x, Grower y) =>
        x.Units == y.Units && x.Zone.Equals(y.Zone) && x.Places.SequenceEqual(y.Places, StringComparer.Ordinal) && x.Planned.SequenceEqual(y.Planned);

    private sealed class Kept
    {
        internal readonly Lock Gate = new();
        internal int Version;

        internal Instant AskedAt { get; set; } = Instant.MaxValue;

        internal Loaded? Register { get; set; }

        internal GrowerDay? Day { get; set; }

        internal Task<GrowerDay>? Making { get; set; }

        internal Wanted? Wanted { get; set; }
    }

    private sealed record Wanted(IReadOnlyList<Graft> Grafts, string Mark, IReadOnlyDictionary<string, Place> Places)
    {
        internal bool Is(Wanted other) => ReferenceEquals(Grafts, other.Grafts) && Mark == other.Mark && SamePlaces.Hold(Places, other.Places);
    }

    private sealed record Loaded(IReadOnlyList<Graft> Grafts, Instant At);

    private sealed class SameRecord : IEqualityComparer<Graft>
    {
        internal static readonly SameRecord Instance = new();

        public bool Equals(Graft? x, Graft? y) => Records.Register.RegisterDifference.Same(x!, y!);

        public int GetHashCode(Graft graft) => graft.Label.GetHashCode(StringComparison.Ordinal);
    }
}
