using GraftWatch.Letters;
using GraftWatch.Settings.Installation;
using GraftWatch.Settings.Secrets;

namespace GraftWatch.Serving;

/// <summary>Brings the mail settings and the secret, which never stands in them, together.</summary>
internal static class MailSetUp
{
    /// <summary>The options of the channel and the composer.</summary>
    /// <param name="mail">Mail settings; null gives options that compose but do not send.</param>
    /// <param name="environment">Reads an environment variable.</param>
    /// <param name="trouble">Why the password could not be had; empty when all is well.</param>
    internal static MailOptions Options(MailSettings? mail, Func<string, string?> environment, out string trouble)
    {
        trouble = string.Empty;
        if (mail is null)
        {
            return new MailOptions { From = "graftwatch@localhost.invalid" };
        }

        Secret password = SecretSource.FindMailPassword(mail, environment);
        trouble = password.Trouble ?? string.Empty;
        return new MailOptions
        {
            Host = mail.Host,
            Port = mail.Port,
            Security = mail.Security switch
            {
                Settings.Installation.MailSecurity.Tls => Letters.MailSecurity.Tls,
                Settings.Installation.MailSecurity.StartTls => Letters.MailSecurity.StartTls,
                Settings.Installation.MailSecurity.Plain => Letters.MailSecurity.None,
                _ => throw new System.Diagnostics.UnreachableException(),
            },
            UserName = mail.User ?? string.Empty,
            Password = password.Value ?? string.Empty,
            From = mail.From,
            FromName = mail.FromName,
            ReplyTo = mail.ReplyTo ?? string.Empty,
            CertificateSha256 = mail.CertificateSha256 ?? string.Empty,
        };
    }
}
