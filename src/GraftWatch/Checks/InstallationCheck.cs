using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Trade;
using GraftWatch.CommandLine;
using GraftWatch.Inputs;
using GraftWatch.Letters;
using GraftWatch.Records;
using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Schedules;
using GraftWatch.Serving;
using GraftWatch.Settings;
using GraftWatch.Settings.Faults;
using GraftWatch.Settings.Installation;
using MailKit.Net.Smtp;
using MailKit.Security;
using NodaTime;

namespace GraftWatch.Checks;

/// <summary>Checks an installation, one line each; later lines need what earlier ones found.</summary>
internal sealed class InstallationCheck(Terminal terminal, string folder)
{
    private const int MailLimitSeconds = 20;
    private readonly Func<string, string?> environment = Environment.GetEnvironmentVariable;

    /// <summary>Checks everything that can be checked.</summary>
    internal async IAsyncEnumerable<CheckLine> RunAsync([System.Runtime.CompilerServices.EnumeratorCancellation] CancellationToken cancellationToken)
    {
        Loaded<Handbook> handbook = SettingsLoader.LoadHandbook(folder);
        Loaded<GraftWatchSettings> installation = SettingsLoader.LoadGraftWatch(Path.Combine(folder, SettingsLoader.InstallationName));
        foreach (CheckLine line in Settings(handbook, installation))
        {
            yield return line;
        }

        yield return Clock();
        if (!handbook.IsValid || !installation.IsValid)
        {
            yield break;
        }

        ServeSettings settings = ServeSettings.From(installation.Value, handbook.Value);
        (RecordsStore? store, string trouble) = await Installation.OpenStoreAsync(installation.Value, terminal.Clock, checkForDamage: true, cancellationToken).ConfigureAwait(false);
        yield return store is null
            ? new CheckLine("store", CheckVerdict.Failed, trouble)
            : new CheckLine("store", CheckVerdict.Fine, Installation.WhereStore(installation.Value));
        if (store is not null)
        {
            await using (store.ConfigureAwait(false))
            {
                await foreach (CheckLine line in RegistersAsync(settings, store, cancellationToken).ConfigureAwait(false))
                {
                    yield return line;
                }
            }
        }

        yield return await MailAsync(installation.Value.Mail, cancellationToken).ConfigureAwait(false);
        await foreach (CheckLine line in new WeatherCheck(terminal, environment).RunAsync(installation.Value, cancellationToken).ConfigureAwait(false))
        {
            yield return line;
        }
    }

    private static IEnumerable<CheckLine> Settings(Loaded<Handbook> handbook, Loaded<GraftWatchSettings> installation)
    {
        SettingsFault[] faults = [.. installation.Faults, .. handbook.Faults];
        foreach (SettingsFault fault in faults)
        {
            yield return new CheckLine("settings", CheckVerdict.Wrong, fault.ToString());
        }

        if (faults.Length == 0)
        {
            yield return new CheckLine("settings", CheckVerdict.Fine, string.Join("; ", installation.Origins.Concat(handbook.Origins)));
        }

        foreach (SettingsFault warning in installation.Warnings.Concat(handbook.Warnings))
        {
            yield return new CheckLine("settings", CheckVerdict.Look, warning.ToString());
        }
    }

    private CheckLine Clock()
    {
        Instant now = terminal.Now();
        string zones = DateTimeZoneProviders.Tzdb.VersionId;
        return now < Instant.FromUtc(2026, 1, 1, 0, 0)
            ? new CheckLine("clock", CheckVerdict.Failed, $"{now} lies before this program was made. Set the clock, best by a time service.")
            : new CheckLine("clock", CheckVerdict.Fine, $"{now}, zones {zones}");
    }

    private async IAsyncEnumerable<CheckLine> RegistersAsync(
        ServeSettings settings, RecordsStore store, [System.Runtime.CompilerServices.EnumeratorCancellation] CancellationToken cancellationToken)
    {
        var register = new RegisterOfInstallation(store.Register, () => settings, terminal.Clock);
        foreach (Grower grower in settings.Morning.Growers)
        {
            IReadOnlyList<Graft> grafts = [];
            IReadOnlyList<string> faults = [];
            try
            {
                grafts = await register.LoadGraftsAsync(grower.Name, cancellationToken).ConfigureAwait(false);
            }
            catch (RegisterRefusedException refused)
            {
                faults = refused.Faults;
            }

            foreach (string fault in faults)
            {
                yield return new CheckLine("register", CheckVerdict.Wrong, fault);
            }

            if (faults.Count == 0)
            {
                DueLetter next = LetterSchedule.NextDue(grower, terminal.Now());
                string words = $"{grower.Name}: {grafts.Count} grafts, {grafts.Sum(graft => graft.Count)} unions; next letter {next.Date:R} {grower.LetterTime:HH:mm} {grower.Zone.Id}";
                yield return new CheckLine("register", grafts.Count > 0 ? CheckVerdict.Fine : CheckVerdict.Look, words);
            }
        }
    }

    private async Task<CheckLine> MailAsync(MailSettings? mail, CancellationToken cancellationToken)
    {
        if (mail is null)
        {
            return new CheckLine("mail", CheckVerdict.Look, "graftwatch.toml has no table [mail]; letters are written as files.");
        }

        MailOptions options = MailSetUp.Options(mail, environment, out string trouble);
        if (trouble.Length > 0)
        {
            return new CheckLine("mail", CheckVerdict.Wrong, trouble);
        }

        string server = $"{mail.Host}:{mail.Port}";
        using var limit = CancellationTokenSource.CreateLinkedTokenSource(cancellationToken);
        limit.CancelAfter(TimeSpan.FromSeconds(MailLimitSeconds));
        try
        {
            using var client = new SmtpClient();
            SecureSocketOptions security = options.Security switch
            {
                Letters.MailSecurity.Tls => SecureSocketOptions.SslOnConnect,
                Letters.MailSecurity.StartTls => SecureSocketOptions.StartTls,
                Letters.MailSecurity.None => SecureSocketOptions.None,
                _ => throw new System.Diagnostics.UnreachableException(),
            };
            await client.ConnectAsync(mail.Host, mail.Port, security, limit.Token).ConfigureAwait(false);
            if (options.UserName.Length > 0)
            {
                await client.AuthenticateAsync(options.UserName, options.Password, limit.Token).ConfigureAwait(false);
            }

            await client.DisconnectAsync(quit: true, limit.Token).ConfigureAwait(false);
            return new CheckLine("mail", CheckVerdict.Fine, $"{server} answers{(options.UserName.Length > 0 ? $" and lets {options.UserName} in" : string.Empty)}; nothing was sent");
        }
        catch (OperationCanceledException) when (!cancellationToken.IsCancellationRequested)
        {
            return new CheckLine("mail", CheckVerdict.Failed, $"{server} did not answer within {MailLimitSeconds} s. Check host, port and security in [mail].");
        }
        catch (Exception e) when (e is System.Net.Sockets.SocketException or IOException or SslHandshakeException or AuthenticationException or SmtpCommandException or SmtpProtocolException or NotSupportedException)
        {
            return new CheckLine("mail", CheckVerdict.Failed, $"{server}: {e.Message.Split('\n')[0].Trim()} Check host, port, security, user and password.");
        }
    }
}
