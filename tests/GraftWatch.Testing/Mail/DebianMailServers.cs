using System.Diagnostics;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;

namespace GraftWatch.Testing.Mail;

/// <summary>A Postfix and a Dovecot of the Debian packages, each with a configuration of its own below a temporary folder, on the loopback address.</summary>
public sealed class DebianMailServers : IAsyncDisposable
{
    /// <summary>Why a test that needs them is skipped.</summary>
    public const string AbsentReason = "Needs Linux, root, and the Debian packages postfix and dovecot-imapd.";

    private readonly string root;
    private Process? dovecot;

    private DebianMailServers(string root) => this.root = root;

    /// <summary>Whether both programs are here and may be started.</summary>
    public static bool ArePresent => OperatingSystem.IsLinux() && Environment.UserName == "root" && File.Exists("/usr/sbin/postfix") && File.Exists("/usr/sbin/dovecot")
        && File.Exists("/usr/lib/dovecot/imap");

    /// <summary>Port of Postfix; STARTTLS is offered.</summary>
    public int SmtpPort { get; } = LoopbackMailServer.FreePort();

    /// <summary>Port of Dovecot, IMAP without TLS.</summary>
    public int ImapPort { get; } = LoopbackMailServer.FreePort();

    /// <summary>SHA-256 of the certificate Postfix shows.</summary>
    public string CertificateSha256 { get; private set; } = string.Empty;

    /// <summary>Starts both; every address at grower.example has one mailbox, user <c>mara</c>, password <c>apple</c>.</summary>
    public static async Task<DebianMailServers> StartAsync()
    {
        var servers = new DebianMailServers(Directory.CreateTempSubdirectory("graftwatch-mail-").FullName);
        Run("chmod", "755", servers.root);
        await servers.StartPostfixAsync();
        await servers.StartDovecotAsync();
        return servers;
    }

    public async ValueTask DisposeAsync()
    {
        Run("/usr/sbin/postfix", "-c", Path.Combine(root, "postfix"), "stop");
        if (dovecot is not null)
        {
            Run("kill", "-TERM", dovecot.Id.ToString(System.Globalization.CultureInfo.InvariantCulture));
            await dovecot.WaitForExitAsync();
            dovecot.Dispose();
        }

        Directory.Delete(root, recursive: true);
    }

    private async Task StartPostfixAsync()
    {
        string folder = Directory.CreateDirectory(Path.Combine(root, "postfix")).FullName;
        foreach (string part in new[] { "queue", "data", "mail" })
        {
            Directory.CreateDirectory(Path.Combine(root, part));
        }

        using X509Certificate2 certificate = LoopbackMailServer.MakeCertificate();
        CertificateSha256 = Convert.ToHexString(SHA256.HashData(certificate.RawData));
        await File.WriteAllTextAsync(Path.Combine(root, "tls.pem"), certificate.GetECDsaPrivateKey()!.ExportPkcs8PrivateKeyPem() + "\n" + certificate.ExportCertificatePem() + "\n");
        Run("chmod", "600", Path.Combine(root, "tls.pem"));
        Run("chown", "postfix", Path.Combine(root, "data"));
        Run("chown", "nobody", Path.Combine(root, "mail"));
        await File.WriteAllTextAsync(Path.Combine(folder, "main.cf"), $"""
            compatibility_level = 3.6
            queue_directory = {root}/queue
            data_directory = {root}/data
            maillog_file = {root}/postfix.log
            maillog_file_prefixes = {root}
            myhostname = relay.grower.example
            mydestination =
            mynetworks = 127.0.0.0/8
            inet_interfaces = 127.0.0.1
            inet_protocols = ipv4
            alias_maps =
            local_recipient_maps =
            virtual_mailbox_domains = grower.example
            virtual_mailbox_base = {root}/mail
            virtual_mailbox_maps = static:mara/
            virtual_uid_maps = static:65534
            virtual_gid_maps = static:65534
            smtpd_tls_chain_files = {root}/tls.pem
            smtpd_tls_security_level = may
            smtpd_relay_restrictions = reject_unauth_destination
            biff = no

            """.Replace("            ", string.Empty, StringComparison.Ordinal));
        string master = await File.ReadAllTextAsync("/usr/share/postfix/master.cf.dist");
        IEnumerable<string> kept = master.Split('\n').Where(line => line.Length > 0 && line[0] is not ('#' or ' ') && !line.StartsWith("smtp      inet", StringComparison.Ordinal));
        string[] services = [.. kept.Select(line => string.Join(' ', line.Split(' ', StringSplitOptions.RemoveEmptyEntries).Select((field, i) => i == 4 && field is "y" or "-" ? "n" : field)))];
        await File.WriteAllTextAsync(
            Path.Combine(folder, "master.cf"),
            $"127.0.0.1:{SmtpPort} inet n - n - - smtpd\n" + string.Join('\n', services.Where(l => !l.Contains("maildrop", StringComparison.Ordinal) && !l.Contains("pipe", StringComparison.Ordinal))) + "\n");
        (int code, string words) = Run("/usr/sbin/postfix", "-c", folder, "start");
        Assert.True(code == 0, "postfix did not start: " + words);
        await WaitAsync(SmtpPort, Path.Combine(root, "postfix.log"));
    }

    private async Task StartDovecotAsync()
    {
        string folder = Directory.CreateDirectory(Path.Combine(root, "dovecot")).FullName;
        string file = Path.Combine(folder, "dovecot.conf");
        await File.WriteAllTextAsync(file, $$"""
            base_dir = {{root}}/dovecot/run
            state_dir = {{root}}/dovecot/state
            log_path = {{root}}/dovecot.log
            protocols = imap
            listen = 127.0.0.1
            ssl = no
            disable_plaintext_auth = no
            first_valid_uid = 1
            first_valid_gid = 1
            mail_location = maildir:{{root}}/mail/mara
            passdb {
              driver = static
              args = password=apple
            }
            userdb {
              driver = static
              args = uid=65534 gid=65534 home={{root}}/mail
            }
            service imap-login {
              chroot =
              inet_listener imap {
                port = {{ImapPort}}
              }
            }
            service anvil {
              chroot =
            }

            """);
        dovecot = Process.Start(new ProcessStartInfo("/usr/sbin/dovecot", ["-F", "-c", file]) { RedirectStandardError = true, RedirectStandardOutput = true })!;
        await WaitAsync(ImapPort, Path.Combine(root, "dovecot.log"));
    }

    private static async Task WaitAsync(int port, string log)
    {
        for (int i = 0; i < 100; i++)
        {
            try
            {
                using var probe = new System.Net.Sockets.TcpClient();
                await probe.ConnectAsync("127.0.0.1", port);
                return;
            }
            catch (System.Net.Sockets.SocketException)
            {
                await Task.Delay(200);
            }
        }

        Assert.Fail($"Nothing answers on port {port}. " + (File.Exists(log) ? await File.ReadAllTextAsync(log) : "No log."));
    }

    private static (int Code, string Words) Run(string program, params string[] arguments)
    {
        using var process = Process.Start(new ProcessStartInfo(program, arguments) { RedirectStandardOutput = true, RedirectStandardError = true })!;
        string words = process.StandardError.ReadToEnd() + process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        return (process.ExitCode, words);
    }
}
