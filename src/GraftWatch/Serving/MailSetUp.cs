using GraftWatch.Letters;
using GraftWatch.Settings.Installation;

namespace GraftWatch.Serving;

/// <summary>Brings the mail settings and the secret, which never stands in them, together.</summary>
internal static class MailSetUp
{
    internal const string PasswordVariable = "GRAFTWATCH_MAIL_PASSWORD";
    private const string CredentialFolderVariable = "CREDENTIALS_DIRECTORY";
    private const string CredentialName = "graftwatch-mail-password";

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

        string password = mail.User is null ? string.Empty : Password(mail, environment, out trouble);
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
            Password = password,
            From = mail.From,
        };
    }

    private static string Password(MailSettings mail, Func<string, string?> environment, out string trouble)
    {
        trouble = string.Empty;
        if (environment(PasswordVariable) is { Length: > 0 } direct)
        {
            return direct;
        }

        string? path = mail.PasswordFile
            ?? (environment(CredentialFolderVariable) is { Length: > 0 } folder ? Path.Combine(folder, CredentialName) : null);
        if (path is null)
        {
            trouble = $"The mail server asks for the password of {mail.User}: give it in {PasswordVariable}, in a file named by mail.password_file, or as the service manager's credential {CredentialName}.";
            return string.Empty;
        }

        try
        {
            return File.ReadAllText(path).TrimEnd('\r', '\n');
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            trouble = $"The mail password cannot be read: {e.Message}";
            return string.Empty;
        }
    }
}
