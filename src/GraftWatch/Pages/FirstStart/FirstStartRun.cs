using System.Net;
using System.Runtime.InteropServices;
using GraftWatch.CommandLine;
using GraftWatch.Settings;
using GraftWatch.Settings.Installation;

namespace GraftWatch.Pages.FirstStart;

/// <summary>Serves the first start until the settings are written.</summary>
internal static class FirstStartRun
{
    /// <summary>Whether settings are missing and somebody is there to be asked.</summary>
    internal static bool IsWanted(Terminal terminal, string? config, bool asked) =>
        (asked || terminal.IsInteractive) && !File.Exists(Path.Combine(FolderOf(terminal, config), SettingsLoader.InstallationName));

    /// <summary>Asks; true when the settings are there.</summary>
    internal static async Task<bool> RunAsync(Terminal terminal, string? config, string? listen, Action<ILoggingBuilder> logging, CancellationToken cancellationToken)
    {
        string folder = FolderOf(terminal, config);
        if (WhyNotWritable(folder) is { } why)
        {
            await terminal.Messages.WriteLineAsync($"{folder}: the settings could not be written here: {why}").ConfigureAwait(false);
            return false;
        }

        string where = listen ?? PageSettings.UsualListen;
        using var stop = CancellationTokenSource.CreateLinkedTokenSource(cancellationToken);
        using PosixSignalRegistration terminate = PosixSignalRegistration.Create(PosixSignal.SIGTERM, context => Stop(context, stop));
        using PosixSignalRegistration interrupt = PosixSignalRegistration.Create(PosixSignal.SIGINT, context => Stop(context, stop));
        var plan = new FirstStartPlan
        {
            Folder = folder,
            Listen = where,
            KeepsListen = listen is not null,
            DataFolder = Environment.GetEnvironmentVariable("STATE_DIRECTORY") is { Length: > 0 } state && Path.IsPathRooted(state) ? state : "data",
            Clock = terminal.Clock,
            Logging = logging,
            Tell = code => terminal.Messages.WriteLine($"That code is used up. Another browser needs this one: {FirstStartDesk.Spell(code)}"),
        };
        try
        {
            FirstStartHost host = await FirstStartHost.StartAsync(plan, stop.Token).ConfigureAwait(false);
            await using (host.ConfigureAwait(false))
            {
                await terminal.Messages.WriteLineAsync(Words(folder, where, host.Address, host.Desk.Code)).ConfigureAwait(false);
                await host.Desk.Finished.WaitAsync(stop.Token).ConfigureAwait(false);
            }

            await terminal.Messages.WriteLineAsync($"{Path.Combine(folder, SettingsLoader.InstallationName)} is written; the daemon goes on with it.").ConfigureAwait(false);
            return true;
        }
        catch (OperationCanceledException) when (stop.IsCancellationRequested)
        {
            return false;
        }
        catch (IOException taken)
        {
            await terminal.Messages.WriteLineAsync($"{where}: {taken.Message} Name another address with --listen.").ConfigureAwait(false);
            return false;
        }
    }

    private static string FolderOf(Terminal terminal, string? config) => terminal.PathOf(config ?? Inputs.Installation.UsualFolder);

    private static string Words(string folder, string listen, Uri address, string code)
    {
        string spelled = FirstStartDesk.Spell(code);
        bool isHere = IPEndPoint.TryParse(listen, out IPEndPoint? point) && IPAddress.IsLoopback(point.Address);
        string where = isHere || (point is not null && !point.Address.Equals(IPAddress.Any) && !point.Address.Equals(IPAddress.IPv6Any))
            ? $"http://{address.Authority}/?code={spelled}"
            : $"http://ADDRESS-OF-THIS-MACHINE:{address.Port}/?code={spelled}";
        string warning = isHere ? string.Empty : " What you type there goes over the line unencrypted; better forward the port over ssh.";
        return $"There are no settings in {folder} yet. Open {where} in a browser and answer a few questions; the code {spelled} lets one browser in.{warning}";
    }

    private static string? WhyNotWritable(string folder)
    {
        try
        {
            Directory.CreateDirectory(folder);
            string probe = Path.Combine(folder, ".graftwatch-" + Guid.NewGuid().ToString("N"));
            File.WriteAllBytes(probe, []);
            File.Delete(probe);
            return null;
        }
        catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException)
        {
            return trouble.Message;
        }
    }

    private static void Stop(PosixSignalContext context, CancellationTokenSource stop)
    {
        context.Cancel = true;
        stop.Cancel();
    }
}
