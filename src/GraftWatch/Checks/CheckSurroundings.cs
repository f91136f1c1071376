using System.Net;
using System.Security.Cryptography.X509Certificates;
using GraftWatch.Forecasts;
using GraftWatch.Records.Inspection;
using NodaTime;

namespace GraftWatch.Checks;

/// <summary>What a check asks of the machine; a test brings answers of its own.</summary>
internal sealed record CheckSurroundings
{
    /// <summary>Reads an environment variable.</summary>
    public Func<string, string?> Environment { get; init; } = System.Environment.GetEnvironmentVariable;

    /// <summary>The disk of the store.</summary>
    public DiskFacts Disk { get; init; } = DiskFacts.OfSystem;

    /// <summary>Resolves names.</summary>
    public Func<string, CancellationToken, Task<IPAddress[]>> Resolve { get; init; } = Dns.GetHostAddressesAsync;

    /// <summary>How many certificate authorities the machine trusts.</summary>
    public Func<int> TrustedRoots { get; init; } = CountRoots;

    /// <summary>The machine's own zone data.</summary>
    public IDateTimeZoneProvider SystemZones { get; init; } = DateTimeZoneProviders.Bcl;

    /// <summary>Folder below which the service manager's units lie.</summary>
    public string Root { get; init; } = "/";

    /// <summary>A last say on where weather services are.</summary>
    public Func<WeatherSetup, WeatherSetup> Sources { get; init; } = setup => setup;

    /// <summary>Where a serve on this machine tells its reasons unless --watch says otherwise.</summary>
    public Uri Watch { get; init; } = new($"http://{Commands.ServeCommand.UsualWatch}/");

    /// <summary>Longest time one check may take.</summary>
    public TimeSpan Limit { get; init; } = TimeSpan.FromSeconds(30);

    private static int CountRoots()
    {
        using var store = new X509Store(StoreName.Root, StoreLocation.LocalMachine);
        store.Open(OpenFlags.ReadOnly | OpenFlags.OpenExistingOnly);
        return store.Certificates.Count;
    }
}
