using GraftWatch.Pages.FirstStart;
using Microsoft.Extensions.Logging;

namespace GraftWatch.EndToEnd.Tests.Pages;

/// <summary>A first start in an empty folder, for a browser.</summary>
internal sealed class FirstStartRig : IAsyncDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("graftwatch-first-rig-").FullName;
    private FirstStartHost? host;

    internal Uri Address => host!.Address;

    internal string Code => host!.Desk.Code;

    internal static async Task<FirstStartRig> StartAsync(Uri? geocoder = null)
    {
        var rig = new FirstStartRig();
        rig.host = await FirstStartHost.StartAsync(
            new FirstStartPlan { Folder = rig.folder, Listen = "127.0.0.1:0", Clock = TimeProvider.System, Logging = logging => logging.SetMinimumLevel(LogLevel.None), Tell = _ => { }, Geocoder = geocoder ?? new Uri("http://127.0.0.1:9") },
            CancellationToken.None);
        return rig;
    }

    public async ValueTask DisposeAsync()
    {
        if (host is not null)
        {
            await host.DisposeAsync();
        }

        Directory.Delete(folder, recursive: true);
    }
}
