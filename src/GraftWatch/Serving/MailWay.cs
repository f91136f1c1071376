using GraftWatch.Letters.Smtp;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Serving;

/// <summary>How mail leaves: by the mail server, or into a folder while there is none.</summary>
internal sealed class MailWay : IAsyncDisposable
{
    private readonly SmtpChannel? smtp;

    internal MailWay(ServeParts parts)
    {
        if (parts.Mail.Host.Length > 0)
        {
            smtp = new SmtpChannel(parts.Mail, parts.LineClock);
            Channel = smtp;
            Words = "mail server " + parts.Mail.Host;
        }
        else
        {
            var folder = new FolderChannel(Path.Combine(parts.Settings.Current.Installation.DataFolder, "letters"));
            Channel = folder;
            Folder = folder.Folder;
            Words = "files in " + folder.Folder;
        }
    }

    /// <summary>Takes letters.</summary>
    internal ILetterChannel Channel { get; }

    /// <summary>Where letters go, for people.</summary>
    internal string Words { get; }

    /// <summary>The folder; null when there is a mail server.</summary>
    internal string? Folder { get; }

    public ValueTask DisposeAsync() => smtp?.DisposeAsync() ?? ValueTask.CompletedTask;
}
