using System.Globalization;
using GraftWatch.Testing;
using GraftWatch.Testing.Mail;

namespace GraftWatch.Packaging.Tests;

/// <summary>The image run by a real engine, as docs/operations.md and deploy/compose.yaml have it.</summary>
/// <remarks>
/// They run where GRAFTWATCH_ENGINE names the engine's command, such as podman. GRAFTWATCH_ENGINE_RUN holds what else
/// <c>run</c> needs on this machine, such as limits it may set. The network is the machine's own, since mail and weather are there.
/// </remarks>
[Collection("machines")]
public sealed class EngineTests
{
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(2);
    private static readonly string[] Needed = (Environment.GetEnvironmentVariable("GRAFTWATCH_ENGINE_RUN") ?? string.Empty).Split(' ', StringSplitOptions.RemoveEmptyEntries);

    private static readonly string[] LockedDown =
        ["--network", "host", "--read-only", "--cap-drop=all", "--security-opt", "no-new-privileges", "--tmpfs", "/tmp:size=64m,mode=1777", "--user", "1654:1654"];

    [EngineFact]
    public async Task One_container_checks_sends_its_letter_is_healthy_and_ends_well_when_stopped()
    {
        LoadOrSkip();
        await using Morning morning = await Morning.StartAsync();
        string name = Name(), config = Config(morning, "/var/lib/graftwatch"), data = Owned("data");
        try
        {
            Start(name, config, data, ["-e", "GRAFTWATCH_MAIL_PASSWORD=" + Morning.MailPassword]);
            await morning.LetterAsync(1, () => Log(name));
            Say("exec", name, "graftwatch", "check", "--config", "/etc/graftwatch").Fine();
            await UntilAsync(() => Say("healthcheck", "run", name).Code == 0, name);
            Assert.NotEqual(0, Say("exec", name, "touch", "/etc/x").Code);
            Say("stop", "-t", "90", name).Fine();
            Assert.Equal("0", Say("inspect", "--format", "{{.State.ExitCode}}", name).Fine().Trim());
            Assert.Single(morning.Mail.Received);
        }
        finally
        {
            Say("rm", "-f", name);
        }
    }

    [EngineFact]
    public async Task Two_containers_on_one_database_send_one_letter_and_one_goes_on_when_the_other_is_killed()
    {
        LoadOrSkip();
        PostgresServer server = PostgresServer.SharedOrSkip();
        string database = server.CreateDatabase().Split(';').First(part => part.StartsWith("Database=", StringComparison.Ordinal))["Database=".Length..];
        await using Morning morning = await Morning.StartAsync();
        string config = Config(morning, "/var/lib/graftwatch", string.Create(CultureInfo.InvariantCulture, $"""

            [store]
            kind = "postgresql"
            host = "127.0.0.1"
            port = {server.Port}
            database = "{database}"
            user = "postgres"
            security = "plain"
            """));
        string secrets = Owned("secrets");
        foreach ((string file, string secret) in (ReadOnlySpan<(string, string)>)[("graftwatch-mail-password", Morning.MailPassword), ("graftwatch-store-password", "not asked for here")])
        {
            File.WriteAllText(Path.Combine(secrets, file), secret);
            Shell.Run("chown", "1654:1654", Path.Combine(secrets, file)).Fine();
        }

        string[] names = [Name(), Name()], ports = [Free(), Free()];
        try
        {
            for (int i = 0; i < 2; i++)
            {
                Start(names[i], config, Owned($"data-{i}"), ["-e", "CREDENTIALS_DIRECTORY=/run/secrets", "-v", secrets + ":/run/secrets:ro"], "serve", "--config", "/etc/graftwatch", "--listen", ports[i], "--watch", "off");
            }

            await morning.LetterAsync(1, () => Log(names[0]) + Log(names[1]));
            for (int i = 0; i < 2; i++)
            {
                int at = i;
                await UntilAsync(() => Say("exec", names[at], "graftwatch", "live", "http://" + ports[at]).Code == 0, names[at]);
            }

            Say("kill", names[0]).Fine();
            await File.WriteAllTextAsync(Path.Combine(config, "graftwatch.toml"), (await File.ReadAllTextAsync(Path.Combine(config, "graftwatch.toml"), TestContext.Current.CancellationToken)).Replace("name = \"Mara\"", "name = \"Mara the second\"", StringComparison.Ordinal), TestContext.Current.CancellationToken);
            await morning.LetterAsync(2, () => Log(names[1]));
            Say("exec", names[1], "graftwatch", "live", "http://" + ports[1]).Fine();
            Assert.Equal(2, morning.Mail.Received.Count);
        }
        finally
        {
            Say("rm", "-f", names[0], names[1]);
        }
    }

    private static void LoadOrSkip()
    {
        string archive = Dist.OrSkip(Dist.PathOf($"graftwatch-{Dist.Version}-container-{Dist.DebianArchitecture}.tar"));
        Assert.SkipUnless(Shell.IsRoot, "Needs root, to give folders to the image's user.");
        Say("load", "-q", "-i", archive).Fine();
    }

    private static void Start(string name, string config, string data, string[] more, params string[] command) => Say(
        ["run", "-d", "--name", name, .. LockedDown, .. Needed, "-v", config + ":/etc/graftwatch:ro", "-v", data + ":/var/lib/graftwatch", "-e", "SSL_CERT_FILE=/etc/graftwatch/authority.pem", .. more, "graftwatch:" + Dist.Version, .. command]).Fine();

    private static string Config(Morning morning, string data, string extra = "")
    {
        string config = Owned("config");
        File.WriteAllText(Path.Combine(config, "graftwatch.toml"), morning.Settings(data, extra));
        File.WriteAllText(Path.Combine(config, "register.csv"), Morning.Register(0));
        File.Copy(morning.Authority, Path.Combine(config, "authority.pem"));
        Shell.Run("chown", "-R", "1654:1654", config).Fine();
        return config;
    }

    private static string Owned(string what)
    {
        string folder = Directory.CreateTempSubdirectory($"graftwatch-engine-{what}-").FullName;
        Shell.Run("chown", "1654:1654", folder).Fine();
        return folder;
    }

    private static string Name() => "graftwatch-" + Guid.NewGuid().ToString("N")[..8];

    private static string Free() => string.Create(CultureInfo.InvariantCulture, $"127.0.0.1:{LoopbackMailServer.FreePort()}");

    private static string Log(string name) => Say("logs", name).All;

    private static Shell.Said Say(params string[] words) => Shell.Run(EngineFactAttribute.Engine, words);

    private static async Task UntilAsync(Func<bool> condition, string name)
    {
        var waited = System.Diagnostics.Stopwatch.StartNew();
        while (!condition())
        {
            Assert.True(waited.Elapsed < Patience, "Waited in vain. The log says:\n" + Log(name));
            await Task.Delay(500, TestContext.Current.CancellationToken);
        }
    }
}
