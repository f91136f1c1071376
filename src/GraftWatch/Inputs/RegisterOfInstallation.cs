using System.Collections.Concurrent;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Records.Register;
using GraftWatch.Rounds.Ports;
using GraftWatch.Serving;
using GraftWatch.Settings.Installation;
using NodaTime;

namespace GraftWatch.Inputs;

/// <summary>The register of an installation: grafts from the grower's CSV file where the settings name one, else from the store; what was seen, done and said always from the store.</summary>
/// <param name="store">The store.</param>
/// <param name="settings">The settings of now.</param>
/// <param name="clock">For the local day, after which nothing can have been grafted.</param>
/// <param name="keeper">Keeps the last register that was right, for the morning after a bad edit; null where a fault is to be refused.</param>
internal sealed class RegisterOfInstallation(IRegister store, Func<ServeSettings> settings, TimeProvider clock, IRegisterKeeper? keeper = null) : IRegister
{
    private readonly ConcurrentDictionary<string, string> troubles = new(StringComparer.Ordinal);
    private readonly ConcurrentDictionary<string, int> kept = new(StringComparer.Ordinal);

    /// <inheritdoc/>
    /// <exception cref="RegisterRefusedException">The file cannot be read or has faults.</exception>
    public async Task<IReadOnlyList<Graft>> LoadGraftsAsync(string grower, CancellationToken cancellationToken)
    {
        ServeSettings now = settings();
        GrowerSettings? own = now.Installation.Growers.FirstOrDefault(candidate => candidate.Name == grower);
        if (own?.RegisterPath is not { } path)
        {
            return await store.LoadGraftsAsync(grower, cancellationToken).ConfigureAwait(false);
        }

        try
        {
            IReadOnlyList<Graft> grafts = await ReadAsync(path, own, now, cancellationToken).ConfigureAwait(false);
            troubles.TryRemove(grower, out _);
            await KeepAsync(grower, grafts, cancellationToken).ConfigureAwait(false);
            return grafts;
        }
        catch (RegisterRefusedException refused) when (keeper is not null)
        {
            IReadOnlyList<Graft> before = await store.LoadGraftsAsync(grower, cancellationToken).ConfigureAwait(false);
            if (before.Count == 0)
            {
                throw;
            }

            troubles[grower] = $"Your register has faults and is not used; this letter rests on the one before. {refused.Message}";
            return before;
        }
    }

    /// <inheritdoc/>
    public string TroubleOf(string grower) => troubles.GetValueOrDefault(grower, string.Empty);

    /// <inheritdoc/>
    public Task<IReadOnlyList<Observation>> LoadObservationsAsync(string grower, CancellationToken cancellationToken) =>
        store.LoadObservationsAsync(grower, cancellationToken);

    /// <inheritdoc/>
    public Task<IReadOnlyList<SaidBefore>> LoadSaidAsync(string grower, CancellationToken cancellationToken) =>
        store.LoadSaidAsync(grower, cancellationToken);

    // The file is the truth; the store holds its last right reading. Written only when it changed.
    private async Task KeepAsync(string grower, IReadOnlyList<Graft> grafts, CancellationToken cancellationToken)
    {
        int fingerprint = string.GetHashCode(RegisterCsv.Write(grafts), StringComparison.Ordinal);
        if (keeper is null || (kept.TryGetValue(grower, out int known) && known == fingerprint))
        {
            return;
        }

        await keeper.ReplaceGraftsAsync(grower, grafts, cancellationToken).ConfigureAwait(false);
        kept[grower] = fingerprint;
    }

    private async Task<IReadOnlyList<Graft>> ReadAsync(string path, GrowerSettings own, ServeSettings now, CancellationToken cancellationToken)
    {
        byte[] bytes;
        try
        {
            bytes = await File.ReadAllBytesAsync(path, cancellationToken).ConfigureAwait(false);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw new RegisterRefusedException([$"{path}: {(e is FileNotFoundException or DirectoryNotFoundException ? "There is no such file." : e.Message)}"]);
        }

        LocalDate today = Instant.FromDateTimeOffset(clock.GetUtcNow()).InZone(own.Zone).Date;
        Place[] places = [.. own.Places.Select(name => now.Morning.Places[name])];
        RegisterReading reading = RegisterCsv.Parse(bytes, now.Morning.Handbook, today, new RegisterContext { File = path, Places = places });
        return reading.IsValid ? reading.Grafts : throw new RegisterRefusedException([.. reading.Faults.Select(fault => fault.ToString())]);
    }
}

/// <summary>A register file that cannot be used.</summary>
/// <param name="faults">Every fault.</param>
internal sealed class RegisterRefusedException(IReadOnlyList<string> faults)
    : Exception(faults.Count == 1 ? faults[0] : $"{faults[0]} (and {faults.Count - 1} more faults; graftwatch check lists them)")
{
    internal IReadOnlyList<string> Faults => faults;
}
