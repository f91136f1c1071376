using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using System.Text;
using GraftWatch.Records;
using GraftWatch.Testing.Mail;
using Microsoft.Data.Sqlite;

namespace GraftWatch.EndToEnd.Tests.Checks;

/// <summary>One mistake in an installation that is right otherwise, and what must be said of it.</summary>
/// <param name="Spoil">Makes the mistake.</param>
/// <param name="State">State of the line that tells of it.</param>
/// <param name="Code">Exit code.</param>
/// <param name="Words">Words of that line: the setting or file, and how to mend it.</param>
internal sealed record Misconfiguration(Func<CheckedInstallation, Task> Spoil, string State, int Code, params string[] Words)
{
    private const string Password = "canary-4711-apple";

    internal static IReadOnlyDictionary<string, Misconfiguration> All { get; } = new Dictionary<string, Misconfiguration>(StringComparer.Ordinal)
    {
        ["wrong mail port"] = new(At(i => i.Replace($"port = {i.Mail.Port}", $"port = {LoopbackMailServer.FreePort()}")), "failed", 1, "mail.port", "nothing answers at 127.0.0.1:", "Correct host and port"),
        ["unknown mail host"] = new(
            At(i =>
            {
                i.Replace("host = \"127.0.0.1\"", "host = \"mial.sorrelbank.example\"");
                i.Surroundings = i.Surroundings with { Resolve = CheckedInstallation.NoName };
            }),
            "failed", 1, "mail.host", "mial.sorrelbank.example is not known", "Correct host"),
        ["mail server without TLS"] = new(At(i => i.Replace("security = \"plain\"", "security = \"starttls\"")), "failed", 1, "mail.security", "offers no STARTTLS", "port 465"),
        ["TLS asked of a plain port"] = new(At(i => i.Replace("security = \"plain\"", "security = \"tls\"")), "failed", 1, "mail.security", "no secure line", "starttls with 587"),
        ["self-signed certificate"] = new(i => i.UseMailAsync(new LoopbackMailOptions { Certificate = LoopbackMailServer.MakeCertificate("127.0.0.1") }, "starttls"), "failed", 1, "mail.host", "certificate", "certificate_sha256 = \""),
        ["expired certificate"] = new(i => i.UseMailAsync(new LoopbackMailOptions { Certificate = Expired() }, "starttls"), "failed", 1, "mail.host", "valid from 2019-01-01 to 2020-01-01 and not today", "renew"),
        ["another certificate than the one named"] = new(
            async i =>
            {
                await i.UseMailAsync(new LoopbackMailOptions { Certificate = LoopbackMailServer.MakeCertificate() }, "starttls");
                i.Replace("from = \"graft", $"certificate_sha256 = \"{new string('a', 64)}\"\nfrom = \"graft");
            },
            "failed", 1, "mail.certificate_sha256", "another certificate", "write the new digest"),
        ["wrong password"] = new(i => SignInAsync(i, Password), "failed", 1, "mail.user", "does not let letters in", "GRAFTWATCH_MAIL_PASSWORD", "Correct user, or the password"),
        ["password missing"] = new(i => SignInAsync(i, null), "wrong", 2, "mail.password_file", "There is no mail password", "GRAFTWATCH_MAIL_PASSWORD"),
        ["other machines let in and no public address"] = new(
            At(i => i.Replace("listen = \"127.0.0.1:", "listen = \"0.0.0.0:")),
            "look", 0, "page.public_address:", "lets other machines in", "works on this machine only", "Set public_address in [page]"),
        ["password in the file"] = new(At(i => i.Replace("[weather]\n", $"[weather]\n# password = \"{Password}\"\n")), "look", 0, "graftwatch.toml:", "looks like a secret", "environment variable or credential file"),
        ["unencrypted sign-in elsewhere"] = new(
            At(i =>
            {
                i.Replace("host = \"127.0.0.1\"", "host = \"mail.example.org\"");
                i.Replace("security = \"plain\"", "security = \"plain\"\nuser = \"letters\"");
                i.Variables["GRAFTWATCH_MAIL_PASSWORD"] = Password;
            }),
            "wrong", 2, "mail.security", "not encrypted", "starttls or tls"),
        ["unknown key"] = new(At(i => i.Replace("letter_hour", "leter_hour")), "wrong", 2, "graftwatch.toml:13:", "leter_hour", "letter_hour"),
        ["unit missing"] = new(At(i => i.Replace("\"465 m\"", "465")), "wrong", 2, "graftwatch.toml:7:", "elevation", "465"),
        ["decimal comma"] = new(At(i => i.Replace("48.02", "48,02")), "wrong", 2, "graftwatch.toml:5:", "comma"),
        ["zone misspelt"] = new(At(i => i.Replace("Europe/Berlin", "Europe/Berln")), "wrong", 2, "graftwatch.toml:8:", "Europe/Berln", "Europe/Berlin"),
        ["coordinates exchanged"] = new(
            At(i =>
            {
                i.Replace("latitude = 48.02", "latitude = 9.06");
                i.Replace("longitude = 9.06", "longitude = 48.02");
            }),
            "look", 0, "place.latitude", "Sorrel Bank", "Exchange latitude and longitude"),
        ["coordinates left at zero"] = new(
            At(i =>
            {
                i.Replace("latitude = 48.02", "latitude = 0");
                i.Replace("longitude = 9.06", "longitude = 0");
            }),
            "look", 0, "graftwatch.toml:5:", "latitude", "Fill in the coordinates"),
        ["elevation absurd"] = new(At(i => i.Replace("465 m", "46500 m")), "wrong", 2, "graftwatch.toml:7:", "elevation", "9000"),
        ["place unknown to a grower"] = new(At(i => i.Replace("letter_hour", "places = [\"Sorel Bank\"]\nletter_hour")), "wrong", 2, "graftwatch.toml:13:", "Sorel Bank", "Sorrel Bank"),
        ["letter hour wrong"] = new(At(i => i.Replace("05:30", "5.30 am")), "wrong", 2, "graftwatch.toml:13:", "letter_hour", "00:00 to 23:59"),
        ["channel unknown to a grower"] = new(At(i => i.Replace("letter_hour", "urgent = [\"phone\"]\nletter_hour")), "wrong", 2, "graftwatch.toml:13:", "no channel named 'phone'"),
        ["register missing"] = new(At(i => File.Delete(i.Register)), "wrong", 2, "register.csv", "There is no such file", "correct register"),
        ["register at fault"] = new(At(i => File.AppendAllText(i.Register, "Z9-99,Sorrel Bank,,,,aple,,,cleft,2026-05-01,1,S,0,1,30,none,none,none,0,0,0,no,\n")), "wrong", 2, "register.csv:18", "aple", "apple"),
        ["register in another encoding"] = new(At(i => File.WriteAllBytes(i.Register, Encoding.Unicode.GetBytes(File.ReadAllText(i.Register)))), "wrong", 2, "register.csv", "UTF-8"),
        ["data folder is a file"] = new(At(i => File.WriteAllText(i.Data, "x")), "failed", 1, "data_folder", "is a file, not a folder", "Name a folder"),
        ["store of a newer program"] = new(i => StoreAsync(i, "INSERT INTO schema_version (number, name, hash, applied_at) VALUES (9999, 'from-tomorrow', 'x', 0)"), "failed", 1, "data_folder", "A newer GraftWatch wrote this store", "Run the newer program"),
        ["store of another program"] = new(
            i =>
            {
                Directory.CreateDirectory(i.Data);
                File.WriteAllText(i.Store, string.Concat(Enumerable.Repeat("label,place,block\n", 400)));
                return Task.CompletedTask;
            },
            "failed", 1, "data_folder", "is not a database", "Name another file"),
        ["store damaged"] = new(DamageAsync, "failed", 1, "data_folder", "graftwatch.db is damaged", "Restore the newest backup"),
        ["store moved away"] = new(i => StoreAsync(i, "INSERT INTO store_note (name, content) VALUES ('moved to', 'database orchard at db.example:5432')"), "failed", 1, "moved to database orchard", "[store]"),
        ["disk nearly full"] = new(At(i => i.Surroundings = i.Surroundings with { Disk = CheckedInstallation.Disk(free: 20 << 20) }), "failed", 1, "data_folder", "only 20 MiB free", "Make room"),
        ["network share"] = new(At(i => i.Surroundings = i.Surroundings with { Disk = CheckedInstallation.Disk("nfs4") }), "failed", 1, "data_folder", "network share (nfs4)", "local disk, or use PostgreSQL"),
        ["weather host unreachable"] = new(At(i => i.Replace(i.Weather.Url, $"http://127.0.0.1:{LoopbackMailServer.FreePort()}")), "failed", 1, "weather.address", "Sorrel Bank", "name a second service"),
        ["weather service asks for restraint"] = new(At(i => i.Answer(429, "{\"error\":true,\"reason\":\"Daily API request limit exceeded.\"}")), "failed", 1, "weather.address", "limit", "second service"),
        ["weather service answers rubbish"] = new(At(i => i.Answer(200, "<html>welcome to the hotel network</html>")), "failed", 1, "weather.address", "Sorrel Bank"),
        ["MET Norway without contact"] = new(At(i => i.Replace("[weather]\n", "[weather]\nsources = [\"met-norway\", \"open-meteo\"]\n")), "wrong", 2, "contact", "met-norway"),
        ["public address not ours"] = new(PublicAsync, "failed", 1, "page.public_address", "does not lead to GraftWatch", "reverse proxy"),
        ["port of the pages taken"] = new(At(i => i.Replace("listen = \"127.0.0.1:", $"listen = \"127.0.0.1:{i.Mail.Port}\"\n# was \"")), "failed", 1, "page.listen", "taken by another program", "another port"),
        ["channel without secret"] = new(At(i => Channel(i, "signed-post", "https://push.example.org/x", inside: false)), "wrong", 2, "channel phone, secret_file", "GRAFTWATCH_CHANNEL_PHONE"),
        ["channel inside refused"] = new(
            At(i =>
            {
                Channel(i, "text-post", $"http://127.0.0.1:{i.Mail.Port}/x", inside: false);
                i.Variables["GRAFTWATCH_CHANNEL_PHONE"] = Password;
            }),
            "wrong", 2, "channel phone, address", "own network", "inside = true"),
        ["channel away"] = new(At(i => Channel(i, "text-post", $"http://127.0.0.1:{LoopbackMailServer.FreePort()}/x", inside: true)), "failed", 1, "channel phone, address", "cannot be reached"),
        ["clock at 1970"] = new(At(i => i.SetClock(new DateTimeOffset(1970, 1, 1, 0, 5, 0, TimeSpan.Zero))), "failed", 1, "clock says 1970-01-01", "timedatectl"),
        ["clock hours behind"] = new(At(i => i.Weather.Date = i.Clock.GetUtcNow().AddHours(3)), "failed", 1, "3 hours behind localhost", "time service"),
        ["no CA bundle"] = new(At(i => i.Surroundings = i.Surroundings with { TrustedRoots = () => 0 }), "failed", 1, "trusts no certificate authority", "ca-certificates"),
        ["no unit"] = new(At(i => i.Surroundings = i.Surroundings with { Root = i.Folder }), "look", 0, "graftwatch.service", "Install deploy/graftwatch.service"),
        ["store password cannot be read"] = new(At(i => i.Add("[store]\nkind = \"postgresql\"\npassword_file = \"nowhere\"")), "wrong", 2, "store.password_file", "nowhere", "cannot be read"),
        ["PostgreSQL away"] = new(At(i => i.Add("[store]\nkind = \"postgresql\"\nhost = \"127.0.0.1\"\nport = 1\nsecurity = \"plain\"")), "failed", 1, "[store]", "database graftwatch at 127.0.0.1:1 does not answer", "Check that the server runs"),
    };

    private static Func<CheckedInstallation, Task> At(Action<CheckedInstallation> spoil) => installation =>
    {
        spoil(installation);
        return Task.CompletedTask;
    };

    private static void Channel(CheckedInstallation installation, string kind, string address, bool inside)
    {
        installation.Replace("letter_hour", "urgent = [\"mail\", \"phone\"]\nletter_hour");
        installation.Add($"[[channel]]\nname = \"phone\"\nkind = \"{kind}\"\naddress = \"{address}\"\ninside = {(inside ? "true" : "false")}");
    }

    private static async Task SignInAsync(CheckedInstallation installation, string? password)
    {
        X509Certificate2 certificate = LoopbackMailServer.MakeCertificate();
        await installation.UseMailAsync(new LoopbackMailOptions { Certificate = certificate, Password = "quite another" }, "starttls");
        installation.Replace("from = \"graft", $"certificate_sha256 = \"{installation.Mail.CertificateSha256}\"\nuser = \"letters\"\nfrom = \"graft");
        if (password is not null)
        {
            installation.Variables["GRAFTWATCH_MAIL_PASSWORD"] = password;
        }
    }

    private static async Task StoreAsync(CheckedInstallation installation, string sql)
    {
        await (await SqliteStore.OpenAsync(installation.Store, new SqliteStoreOptions { ReserveBytes = 0 }, default)).DisposeAsync();
        await using var connection = new SqliteConnection($"Data Source={installation.Store};Pooling=False");
        await connection.OpenAsync();
        await using SqliteCommand command = connection.CreateCommand();
        command.CommandText = sql;
        await command.ExecuteNonQueryAsync();
    }

    private static async Task DamageAsync(CheckedInstallation installation)
    {
        await StoreAsync(installation, "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 4000) INSERT INTO store_note SELECT 'n' || i, hex(randomblob(200)) FROM n");
        await using var file = new FileStream(installation.Store, FileMode.Open, FileAccess.ReadWrite);
        for (long page = 60; page < file.Length / 4096; page++)
        {
            file.Position = page * 4096;
            file.Write([0xEE, 0xEE, 0xEE, 0xEE, 0xEE, 0xEE, 0xEE, 0xEE]);
        }
    }

    private static Task PublicAsync(CheckedInstallation installation)
    {
        // The pages answer here as serve would; the public address leads to the weather service, which knows nothing of /live.
        installation.Daemon.Answer(200, "live\n");
        installation.Replace("listen = \"127.0.0.1:", $"public_address = \"{installation.Weather.Url}/grafts\"\nlisten = \"127.0.0.1:{installation.Daemon.Port}\"\n# was \"");
        return Task.CompletedTask;
    }

    private static X509Certificate2 Expired()
    {
        using var key = ECDsa.Create(ECCurve.NamedCurves.nistP256);
        var request = new CertificateRequest("CN=localhost", key, HashAlgorithmName.SHA256);
        using X509Certificate2 fresh = request.CreateSelfSigned(new DateTimeOffset(2019, 1, 1, 0, 0, 0, TimeSpan.Zero), new DateTimeOffset(2020, 1, 1, 0, 0, 0, TimeSpan.Zero));
        return X509CertificateLoader.LoadPkcs12(fresh.Export(X509ContentType.Pfx), null);
    }
}
