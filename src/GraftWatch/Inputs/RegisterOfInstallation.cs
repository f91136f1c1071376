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
internal sealed class RegisterOfInstallation(IRegister store, Func<ServeSettings> settings, TimeProvider clock) : IRegister
{
    /// <inheritdoc/>
    /// <exception cref="RegisterRefusedException">The file cannot be read or has faults.</exception>
    public async Task<IReadOnlyList<Graft>> LoadGraftsAsync(string grower, CancellationToken cancellationToken)
    {
        ServeSettings now = settings();
        GrowerSettings? own = now.Installation.Growers.FirstOrDefault(candidate => candidate.Name == grower);
        return own?.RegisterPath is not { } path
            ? await store.LoadGraftsAsync(grower, cancellationToken).ConfigureAwait(false)
            : await ReadAsync(path, own, now, cancellationToken).ConfigureAwait(false);
    }

    /// <inheritdoc/>
    public Task<IReadOnlyList<Observation>> LoadObservationsAsync(string grower, CancellationToken cancellationToken) =>
        store.LoadObservationsAsync(grower, cancellationToken);

    /// <inheritdoc/>
    public Task<IReadOnlyList<SaidBefore>> LoadSaidAsync(string grower, CancellationToken cancellationToken) =>
        store.LoadSaidAsync(grower, cancellationToken);

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
