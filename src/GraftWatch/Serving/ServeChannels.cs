using GraftWatch.Letters;
using GraftWatch.Letters.Smtp;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Serving;

/// <summary>What composes letters and what takes them away.</summary>
internal static class ServeChannels
{
    internal static void Add(IServiceCollection services, ServeParts parts)
    {
        services.AddSingleton<ILetterComposer>(new LetterComposer(parts.Mail));
        services.AddSingleton(Morning(parts));
    }

    private static ILetterChannel Morning(ServeParts parts) => parts.Mail.Host.Length > 0
        ? new SmtpChannel(parts.Mail, parts.LineClock)
        : new FolderChannel(Path.Combine(parts.Settings.Current.Installation.DataFolder, "letters"));
}
