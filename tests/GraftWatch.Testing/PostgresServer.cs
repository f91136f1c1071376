using System.Diagnostics;
using System.Globalization;
using System.Net;
using System.Net.Sockets;

namespace GraftWatch.Testing;

/// <summary>A PostgreSQL server of the tests' own, on loopback, with its data in a temporary folder.</summary>
/// <remarks>
/// The binaries are looked for where Debian and its relatives install them and on the path. One server serves all tests of a
/// process; each test takes a database of its own. A caller that must kill or restart a server starts one for itself.
/// </remarks>
public sealed class PostgresServer : IDisposable
{
    /// <summary>Why tests that need a server are skipped.</summary>
    public const string AbsentReason = "PostgreSQL's server binaries (initdb, pg_ctl; Debian package postgresql) are not on this machine.";

    private static readonly Lazy<PostgresServer?> Everyones = new(() => FindBinaries() is { } binaries ? StartOne(binaries) : null);
    private readonly string binaries;
    private readonly string folder;
    private int databases;
    private bool running;

    private PostgresServer(string binaries, string folder, int port)
    {
        this.binaries = binaries;
        this.folder = folder;
        Port = port;
    }

    /// <summary>Port on 127.0.0.1.</summary>
    public int Port { get; }

    /// <summary>The server all tests of the process share; skips the calling test where there is none.</summary>
    public static PostgresServer SharedOrSkip()
    {
        Assert.SkipWhen(Everyones.Value is null, AbsentReason);
        return Everyones.Value!;
    }

    /// <summary>A server for one test; skips the calling test where there are no binaries.</summary>
    public static PostgresServer StartOwnOrSkip()
    {
        string? found = FindBinaries();
        Assert.SkipWhen(found is null, AbsentReason);
        return StartOne(found!);
    }

    /// <summary>Makes an empty database and gives its connection string.</summary>
    public string CreateDatabase()
    {
        string name = string.Create(CultureInfo.InvariantCulture, $"t{Environment.ProcessId}_{Interlocked.Increment(ref databases)}");
        Run("psql", "-h", "127.0.0.1", "-p", Port.ToString(CultureInfo.InvariantCulture), "-U", "postgres", "-d", "postgres", "-q", "-c", $"CREATE DATABASE {name}");
        return ConnectionString(name);
    }

    /// <summary>Connection string of a database by name.</summary>
    public string ConnectionString(string database) => string.Create(CultureInfo.InvariantCulture, $"Host=127.0.0.1;Port={Port};Username=postgres;Database={database};Timeout=10");

    /// <summary>Starts the server, which must be stopped.</summary>
    public void Start()
    {
        string log = Path.Combine(folder, "server.log");
        string settings = string.Create(CultureInfo.InvariantCulture, $"-c listen_addresses=127.0.0.1 -p {Port} -k {folder} -c max_connections=200 -c fsync=off");
        Run("pg_ctl", "-D", Path.Combine(folder, "data"), "-o", settings, "-l", log, "-w", "-t", "60", "start");
        running = true;
    }

    /// <summary>Stops the server as a power switch would: no farewell to anybody.</summary>
    public void StopAtOnce() => Stop("immediate");

    /// <inheritdoc/>
    public void Dispose()
    {
        if (running)
        {
            Stop("immediate");
        }

        try
        {
            Directory.Delete(folder, recursive: true);
        }
        catch (IOException)
        {
            // A last file of the dying server may still be in the folder; the system clears its temporary folder.
        }
    }

    private static PostgresServer StartOne(string binaries)
    {
        string folder = Directory.CreateTempSubdirectory("graftwatch-pg-").FullName;
        var server = new PostgresServer(binaries, folder, FreePort());
        if (Environment.IsPrivilegedProcess)
        {
            // The server refuses to run as the superuser; Debian's package makes the user postgres.
            RunPlain("chown", "postgres", folder);
        }

        server.Run("initdb", "-D", Path.Combine(folder, "data"), "-A", "trust", "-U", "postgres", "-E", "UTF8", "--locale=C", "--no-sync");
        server.Start();
        server.StopWithThisProcess();
        return server;
    }

    private static string? FindBinaries()
    {
        IEnumerable<string> installed = Directory.Exists("/usr/lib/postgresql")
            ? Directory.GetDirectories("/usr/lib/postgresql").OrderDescending(StringComparer.Ordinal).Select(version => Path.Combine(version, "bin"))
            : [];
        string[] onPath = (Environment.GetEnvironmentVariable("PATH") ?? string.Empty).Split(Path.PathSeparator);
        return installed.Concat(onPath).FirstOrDefault(bin => File.Exists(Path.Combine(bin, "initdb")) && File.Exists(Path.Combine(bin, "pg_ctl")) && File.Exists(Path.Combine(bin, "psql")));
    }

    private static int FreePort()
    {
        using var listener = new TcpListener(IPAddress.Loopback, 0);
        listener.Start();
        return ((IPEndPoint)listener.LocalEndpoint).Port;
    }

    // However the tests end, killed ones too, the server ends with them and its folder goes.
    private void StopWithThisProcess()
    {
        string script = string.Create(CultureInfo.InvariantCulture, $"while kill -0 {Environment.ProcessId} 2>/dev/null; do sleep 1; done; \"$@\"; sleep 1; rm -rf {folder}");
        string[] stop = [Path.Combine(binaries, "pg_ctl"), "-D", Path.Combine(folder, "data"), "-m", "immediate", "stop"];
        string[] asServer = Environment.IsPrivilegedProcess ? ["runuser", "-u", "postgres", "--", .. stop] : stop;
        RunPlain("sh", ["-c", $"({script}) &", "sh", .. asServer]);
    }

    private void Stop(string mode)
    {
        running = false;
        Run("pg_ctl", "-D", Path.Combine(folder, "data"), "-m", mode, "-w", "-t", "30", "stop");
    }

    private void Run(string program, params string[] arguments)
    {
        string full = Path.Combine(binaries, program);
        if (Environment.IsPrivilegedProcess)
        {
            RunPlain("runuser", ["-u", "postgres", "--", full, .. arguments]);
        }
        else
        {
            RunPlain(full, arguments);
        }
    }

    private static void RunPlain(string program, params string[] arguments)
    {
        // Output is not redirected to pipes: the server would inherit them and keep them open.
        var start = new ProcessStartInfo("/bin/sh") { WorkingDirectory = Path.GetTempPath() };
        start.ArgumentList.Add("-c");
        start.ArgumentList.Add("exec \"$@\" >/dev/null 2>&1 </dev/null");
        start.ArgumentList.Add("sh");
        start.ArgumentList.Add(program);
        foreach (string argument in arguments)
        {
            start.ArgumentList.Add(argument);
        }

        using Process process = Process.Start(start)!;
        process.WaitForExit();
        if (process.ExitCode != 0)
        {
            throw new InvalidOperationException($"{program} {string.Join(' ', arguments)} ended with {process.ExitCode}.");
        }
    }
}
