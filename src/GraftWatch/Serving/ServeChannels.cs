using GraftWatch.Letters.Channels;
using GraftWatch.Rounds.Pipeline;
using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Urgent;
using GraftWatch.Serving.Metrics;

namespace GraftWatch.Serving;

/// <summary>Who gets letters, what composes them and what takes them away.</summary>
internal static class ServeChannels
{
    internal static void Add(IServiceCollection services, ServeParts parts)
    {
        services.AddSingleton<ILetterClaims>(provider => new MeasuredClaims(
            parts.Store.Claims, provider.GetRequiredService<ServeMetrics>(), provider.GetRequiredService<ServeState>(), parts.Settings));
        services.AddSingleton(parts.Store.Book);
        services.AddSingleton(parts.Store.Stops);
        services.AddSingleton(parts.Store.Notes);
        services.AddSingleton<InstallationSecret>();
        services.AddSingleton<GrowersInForce>();
        services.AddSingleton(provider => new ChannelTargets(
            parts.Settings, provider.GetRequiredService<GrowersInForce>(), provider.GetRequiredService<InstallationSecret>(), parts.Environment));
        services.AddSingleton(_ => new MailWay(parts));
        services.AddSingleton<IWorkerName>(_ => new ServeWorker(parts.Store.Notes, parts.Settings.Current.Installation.DataFolder));
        services.AddSingleton<ILetterComposer>(provider => new ServedLetters(
            parts.Mail, parts.Settings, provider.GetRequiredService<ChannelTargets>(), provider.GetRequiredService<InstallationSecret>()));
        services.AddSingleton<ILetterChannel>(provider => Router(provider, parts));
        services.AddSingleton<LetterSealing>();
        services.AddSingleton<MorningSealing>();
        services.AddSingleton(provider => new OperatorPost(
            parts.Mail, provider.GetRequiredService<ServeState>(), parts.Store.Ledger, parts.Store.Notes, provider.GetRequiredService<ILogger<OperatorPost>>()));
        services.AddSingleton<UrgentRun>();
    }

    private static ChannelRouter Router(IServiceProvider provider, ServeParts parts)
    {
        ChannelTargets targets = provider.GetRequiredService<ChannelTargets>();
        return new ChannelRouter(
            provider.GetRequiredService<MailWay>().Channel,
            letter => targets.Find(letter.Slot.Grower, letter.Slot.Channel),
            new OutsideGuard(),
            parts.LineClock);
    }
}
