using System.Globalization;
using System.Net;
using System.Net.Security;
using System.Net.Sockets;
using System.Security.Authentication;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using GraftWatch.Letters;
using GraftWatch.Settings.Installation;
using GraftWatch.Settings.Secrets;
using MailKit.Net.Smtp;
using MailKit.Security;

namespace GraftWatch.Checks;

/// <summary>One conversation with the mail server up to the sign-in, and what its failures mean in terms of the settings.</summary>
internal sealed class MailLine(MailSettings mail, MailOptions options, Secret password, CheckScope scope)
{
    private const int SecondsToConnect = 10;
    private const int SecondsToSignIn = 15;
    private const int DaysBeforeExpiry = 14;
    private X509Certificate2? shown;
    private SslPolicyErrors errors;
    private X509ChainStatusFlags chainTrouble;

    private string Server => string.Create(CultureInfo.InvariantCulture, $"{mail.Host}:{mail.Port}");

    /// <summary>Talks to the server; one line.</summary>
    internal async Task<CheckLine> TryAsync(CancellationToken cancellationToken)
    {
        if (options is { Security: Letters.MailSecurity.None, UserName.Length: > 0 } && !IsThisMachine(mail.Host))
        {
            return Line(CheckVerdict.Wrong, "mail.security: signing in over a line that is not encrypted is refused.", "Set security to starttls or tls, or leave user out.");
        }

        IPAddress[] addresses;
        try
        {
            using CancellationTokenSource naming = Limit(SecondsToConnect, cancellationToken);
            addresses = IPAddress.TryParse(mail.Host, out IPAddress? literal) ? [literal] : await scope.Surroundings.Resolve(mail.Host, naming.Token).ConfigureAwait(false);
        }
        catch (Exception unknown) when (unknown is SocketException or ArgumentException || (unknown is OperationCanceledException && !cancellationToken.IsCancellationRequested))
        {
            return Line(CheckVerdict.Failed, $"mail.host: the name {mail.Host} is not known ({InstallationCheck.OneLine(unknown.Message)}).", "Correct host in [mail]; if it is right, look at this machine's name service.");
        }

        using var client = new SmtpClient { CheckCertificateRevocation = false, LocalDomain = options.Domain, SslProtocols = SslProtocols.Tls12 | SslProtocols.Tls13 };
        client.ServerCertificateValidationCallback = Judge;
        return await ConnectAsync(client, addresses, cancellationToken).ConfigureAwait(false)
            ?? await SignInAsync(client, cancellationToken).ConfigureAwait(false)
            ?? Works(client);
    }

    private async Task<CheckLine?> ConnectAsync(SmtpClient client, IPAddress[] addresses, CancellationToken cancellationToken)
    {
        using CancellationTokenSource limit = Limit(SecondsToConnect, cancellationToken);
        bool open = false;
        try
        {
            var socket = new Socket(SocketType.Stream, ProtocolType.Tcp);
            await socket.ConnectAsync(addresses, mail.Port, limit.Token).ConfigureAwait(false);
            open = true;
            await client.ConnectAsync(socket, mail.Host, mail.Port, Security(), limit.Token).ConfigureAwait(false);
            return null;
        }
        catch (Exception failure) when (failure is OperationCanceledException or TimeoutException && !cancellationToken.IsCancellationRequested)
        {
            return open
                ? Line(CheckVerdict.Failed, $"mail.security: {Server} takes the connection and then says nothing for {SecondsToConnect} s.", Other())
                : Line(CheckVerdict.Failed, $"mail.port: {Server} does not answer within {SecondsToConnect} s.", "Correct host and port in [mail]; if they are right, a firewall or the provider blocks the port.");
        }
        catch (SocketException refused)
        {
            return Line(CheckVerdict.Failed, $"mail.port: nothing answers at {Server} ({InstallationCheck.OneLine(refused.Message)}).", "Correct host and port in [mail]: usual are 465 for tls, 587 for starttls, 25 for plain.");
        }
        catch (NotSupportedException)
        {
            return Line(CheckVerdict.Failed, $"mail.security: {Server} offers no STARTTLS, and letters do not go unencrypted.", "Set security = \"tls\" with port 465, or name another server; plain is for a server on this machine only.");
        }
        catch (Exception failure) when (failure is SslHandshakeException or System.Security.Authentication.AuthenticationException)
        {
            return Certificate(failure);
        }
        catch (Exception failure) when (failure is IOException or SmtpProtocolException or SmtpCommandException)
        {
            return Line(CheckVerdict.Failed, $"mail.security: {Server} answers otherwise than a mail server does ({InstallationCheck.OneLine(failure.Message)}).", Other());
        }
    }

    private async Task<CheckLine?> SignInAsync(SmtpClient client, CancellationToken cancellationToken)
    {
        if (options.UserName.Length == 0)
        {
            return null;
        }

        using CancellationTokenSource limit = Limit(SecondsToSignIn, cancellationToken);
        try
        {
            await client.AuthenticateAsync(options.UserName, options.Password, limit.Token).ConfigureAwait(false);
            return null;
        }
        catch (MailKit.Security.AuthenticationException refused)
        {
            return Line(CheckVerdict.Failed, $"mail.user: {Server} does not let {options.UserName} in ({Words(refused)}); the password is {password}.", "Correct user, or the password there; some providers want a password made for programs.");
        }
        catch (NotSupportedException)
        {
            return Line(CheckVerdict.Failed, $"mail.user: {Server} offers no way to sign in that can be used here.", "Leave user out if the server asks for none, or ask over tls or starttls.");
        }
        catch (OperationCanceledException) when (!cancellationToken.IsCancellationRequested)
        {
            return Line(CheckVerdict.Failed, $"mail.user: {Server} does not answer the sign-in within {SecondsToSignIn} s.", "Try again later; then ask whoever runs the server.");
        }
        catch (Exception failure) when (failure is IOException or SmtpProtocolException or SmtpCommandException)
        {
            return Line(CheckVerdict.Failed, $"mail.user: {Server} broke off during the sign-in ({Words(failure)}).", "Look at user and password; some servers hang up on a wrong one.");
        }
    }

    private CheckLine Works(SmtpClient client)
    {
        string secured = client.IsSecure ? $" over {client.SslProtocol.ToString().Replace("Tls1", "TLS 1.", StringComparison.Ordinal)}" : string.Empty;
        string entered = options.UserName.Length > 0 ? $" and lets {options.UserName} in" : string.Empty;
        string pinned = options.CertificateSha256.Length > 0 ? " (the one named in certificate_sha256)" : string.Empty;
        string certificate = shown is null ? string.Empty : $"; certificate for {Names(shown)} until {Day(shown)}, {DaysLeft(shown)} days{pinned}";
        string words = $"{Server} answers{secured}{entered}{certificate}.";
        return shown is not null && DaysLeft(shown) < DaysBeforeExpiry
            ? Line(CheckVerdict.Look, words, "The certificate ends soon; whoever runs the server must renew it, or letters stop.")
            : Line(CheckVerdict.Fine, words);
    }

    private CheckLine Certificate(Exception failure)
    {
        if (shown is null)
        {
            return Line(CheckVerdict.Failed, $"mail.security: no secure line to {Server} ({InstallationCheck.OneLine(failure.InnerException?.Message ?? failure.Message)}).", Other());
        }

        string digest = Convert.ToHexStringLower(SHA256.HashData(shown.RawData));
        if (options.CertificateSha256.Length > 0)
        {
            return Line(CheckVerdict.Failed, $"mail.certificate_sha256: {Server} shows another certificate, {digest}.", "If you or the provider renewed it, write the new digest; if not, somebody may sit in the line.");
        }

        if (chainTrouble.HasFlag(X509ChainStatusFlags.NotTimeValid))
        {
            return Line(CheckVerdict.Failed, $"mail.host: the certificate of {Server} is valid from {shown.NotBefore.ToUniversalTime():yyyy-MM-dd} to {Day(shown)} and not today.", "Whoever runs the server must renew it; if today's date is wrong here, set the clock.");
        }

        return errors.HasFlag(SslPolicyErrors.RemoteCertificateNameMismatch)
            ? Line(CheckVerdict.Failed, $"mail.host: the certificate of {Server} is for {Names(shown)}, not for {mail.Host}.", "Write the name the certificate is for into host.")
            : Line(CheckVerdict.Failed, $"mail.host: nobody this machine trusts vouches for the certificate of {Server} (for {Names(shown)}).", $"For a server of your own write certificate_sha256 = \"{digest}\" into [mail]; otherwise install the package ca-certificates, or do not use this server.");
    }

    private bool Judge(object sender, X509Certificate? certificate, X509Chain? chain, SslPolicyErrors found)
    {
        shown = certificate is null ? null : X509CertificateLoader.LoadCertificate(certificate.GetRawCertData());
        errors = found;
        chainTrouble = chain?.ChainStatus.Aggregate(X509ChainStatusFlags.NoError, (all, one) => all | one.Status) ?? X509ChainStatusFlags.NoError;
        return options.CertificateSha256.Length > 0
            ? shown is not null && string.Equals(Convert.ToHexString(SHA256.HashData(shown.RawData)), options.CertificateSha256, StringComparison.OrdinalIgnoreCase)
            : found == SslPolicyErrors.None;
    }

    private SecureSocketOptions Security() => options.Security switch
    {
        Letters.MailSecurity.Tls => SecureSocketOptions.SslOnConnect,
        Letters.MailSecurity.StartTls => SecureSocketOptions.StartTls,
        Letters.MailSecurity.None => SecureSocketOptions.None,
        _ => throw new System.Diagnostics.UnreachableException(),
    };

    private string Other() => options.Security == Letters.MailSecurity.Tls
        ? "Port and security must fit: tls usually goes with 465, starttls with 587."
        : "Port and security must fit: starttls usually goes with 587, tls with 465; a port that speaks tls says nothing to starttls or plain.";

    // A server may repeat what it was sent.
    private string Words(Exception failure)
    {
        string words = InstallationCheck.OneLine(failure.Message);
        return options.Password.Length > 0 ? words.Replace(options.Password, "***", StringComparison.Ordinal) : words;
    }

    private int DaysLeft(X509Certificate2 certificate) =>
        (int)Math.Floor((certificate.NotAfter.ToUniversalTime() - scope.Terminal.Clock.GetUtcNow().UtcDateTime).TotalDays);

    private static string Day(X509Certificate2 certificate) => certificate.NotAfter.ToUniversalTime().ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);

    private static string Names(X509Certificate2 certificate)
    {
        X509SubjectAlternativeNameExtension? names = certificate.Extensions.OfType<X509SubjectAlternativeNameExtension>().FirstOrDefault();
        string[] hosts = [.. names?.EnumerateDnsNames().Take(3) ?? []];
        return hosts.Length > 0 ? string.Join(", ", hosts) : certificate.Subject;
    }

    private static bool IsThisMachine(string host) => host == "localhost" || (IPAddress.TryParse(host, out IPAddress? address) && IPAddress.IsLoopback(address));

    private static CancellationTokenSource Limit(int seconds, CancellationToken cancellationToken)
    {
        var limit = CancellationTokenSource.CreateLinkedTokenSource(cancellationToken);
        limit.CancelAfter(TimeSpan.FromSeconds(seconds));
        return limit;
    }

    private static CheckLine Line(CheckVerdict verdict, string what, string mend = "") => new("mail", verdict, what, mend);
}
