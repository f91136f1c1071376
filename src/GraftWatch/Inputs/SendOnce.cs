using GraftWatch.Aftercare.Advising;
using GraftWatch.CommandLine;
using GraftWatch.Commands;
using GraftWatch.Letters;
using GraftWatch.Letters.Smtp;
using GraftWatch.Records;
using GraftWatch.Rounds.Ports;
using GraftWatch.Serving;
using GraftWatch.Settings.Installation;
using NodaTime;

namespace GraftWatch.Inputs;

/// <summary>Sends the letter of a round that was made by hand, through the same slots as the daemon: never a second letter a grower and day.</summary>
internal static class SendOnce
{
    /// <summary>What sending needs, before any round is made; null with every fault.</summary>
    internal static SendSetUp? SetUp(Terminal terminal, RoundArguments arguments, out IReadOnlyList<string> faults)
    {
        if (Installation.Load(terminal, arguments.Config, out faults) is not { } settings)
        {
            faults = ["--send needs an installation.", .. faults];
            return null;
        }

        GraftWatchSettings installation = settings.Current.Installation;
        if (installation.Mail is not { } mail)
        {
            faults = [$"--send: {installation.File} has no table [mail]."];
            return null;
        }

        MailOptions options = MailSetUp.Options(mail, Environment.GetEnvironmentVariable, out string trouble);
        faults = trouble.Length > 0 ? [trouble] : [];
        return trouble.Length > 0 ? null : new SendSetUp(installation, options);
    }

    internal static async Task<int> SendAsync(Terminal terminal, Round round, Grower grower, SendSetUp setUp, CancellationToken cancellationToken)
    {
        (RecordsStore? store, string trouble) = await Installation.OpenStoreAsync(setUp.Installation, terminal.Clock, checkForDamage: false, cancellationToken).ConfigureAwait(false);
        if (store is null)
        {
            return terminal.Refuse([trouble]);
        }

        await using (store.ConfigureAwait(false))
        {
            return await SendAsync(terminal, round, grower, setUp.Mail, store, cancellationToken).ConfigureAwait(false);
        }
    }

    private static async Task<int> SendAsync(Terminal terminal, Round round, Grower grower, MailOptions options, RecordsStore store, CancellationToken cancellationToken)
    {
        var slot = new LetterSlot(grower.Name, round.Date, LetterKind.Morning);
        if ((await store.Ledger.LookAsync(grower.Name, round.Date, LetterKind.Morning, cancellationToken).ConfigureAwait(false)).Sealed == 0)
        {
            int number = await store.Ledger.NextNumberAsync(grower.Name, cancellationToken).ConfigureAwait(false);
            SealedLetter letter = new LetterComposer(options).Compose(round, grower, number, terminal.Now());
            await store.Said.SealAsync(letter, SaidLine.Of(round), cancellationToken).ConfigureAwait(false);
        }

        if (await store.Ledger.FindAsync(slot, cancellationToken).ConfigureAwait(false) is not { } entry)
        {
            await terminal.Messages.WriteLineAsync($"{grower.Name} gets no mail for {slot.Date:R}: the letter goes by another channel, or the day lies before the store was restored.").ConfigureAwait(false);
            return ExitCode.Failed;
        }

        if (entry.State != LetterState.Waiting)
        {
            await terminal.Messages.WriteLineAsync($"The letter of {slot.Date:R} to {grower.Name} exists already ({entry.State}: {entry.LastDetail}); no second one is sent.").ConfigureAwait(false);
            return entry.State == LetterState.Accepted ? ExitCode.Fine : ExitCode.Failed;
        }

        var channel = new SmtpChannel(options, terminal.Clock);
        await using (channel.ConfigureAwait(false))
        {
            DeliveryResult result = await channel.DeliverAsync(entry.Letter, cancellationToken).ConfigureAwait(false);
            Instant at = terminal.Now();
            await store.Ledger.RecordTryAsync(slot, result, at, CancellationToken.None).ConfigureAwait(false);
            bool accepted = result.Outcome == DeliveryOutcome.Accepted;
            await terminal.Messages.WriteLineAsync(accepted
                ? $"Sent to {grower.Address}: {result.Detail}"
                : $"Not sent ({result.Reason}): {result.Detail} The letter is kept; serve or another --send tries again.").ConfigureAwait(false);
            return accepted ? ExitCode.Fine : ExitCode.Failed;
        }
    }
}

/// <summary>An installation that can send.</summary>
/// <param name="Installation">Its settings.</param>
/// <param name="Mail">How it sends.</param>
internal sealed record SendSetUp(GraftWatchSettings Installation, MailOptions Mail);
