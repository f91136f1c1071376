using GraftWatch.Aftercare.Advising;
using GraftWatch.CommandLine;
using GraftWatch.Commands;
using GraftWatch.Letters;
using GraftWatch.Records;
using GraftWatch.Rounds.Pipeline;
using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Schedules;
using GraftWatch.Serving;
using GraftWatch.Serving.Clocks;
using NodaTime;

namespace GraftWatch.Inputs;

/// <summary>Sends the letter of a round that was made by hand, through the slots and claims of the daemon: never a second letter a grower and day, though the daemon runs beside.</summary>
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

        if (settings.Current.Installation.Mail is not { } mail)
        {
            faults = [$"--send: {settings.Current.Installation.File} has no table [mail]."];
            return null;
        }

        MailOptions options = MailSetUp.Options(mail, Environment.GetEnvironmentVariable, out string trouble);
        faults = trouble.Length > 0 ? [trouble] : [];
        return trouble.Length > 0 ? null : new SendSetUp(settings, options);
    }

    internal static async Task<int> SendAsync(Terminal terminal, Round round, Grower grower, SendSetUp setUp, CancellationToken cancellationToken)
    {
        (RecordsStore? store, string trouble) = await Installation.OpenStoreAsync(setUp.Settings.Current.Installation, terminal.Clock, checkForDamage: false, cancellationToken).ConfigureAwait(false);
        if (store is null)
        {
            return terminal.Refuse([trouble]);
        }

        await using (store.ConfigureAwait(false))
        {
            if (await MovedStores.WhyNotServedAsync(setUp.Settings.Current.Installation, store, cancellationToken).ConfigureAwait(false) is { } why)
            {
                return await FailAsync(terminal, why).ConfigureAwait(false);
            }

            if (await WhyClockIsInDoubtAsync(terminal, store, setUp.Settings.Current.Installation.Weather.Address, cancellationToken).ConfigureAwait(false) is { } doubt)
            {
                return await FailAsync(terminal, doubt).ConfigureAwait(false);
            }

            ServiceProvider letters = ServeHost.Letters(new ServeParts
            {
                Settings = setUp.Settings,
                Store = store,
                Mail = setUp.Mail,
                Clock = terminal.Clock,
                Logging = _ => { },
            });
            await using (letters.ConfigureAwait(false))
            {
                return await SendAsync(terminal, round, grower, letters, cancellationToken).ConfigureAwait(false);
            }
        }
    }

    // As the daemon holds its letters, but without its patience: a command does not wait half an hour for an answer.
    private static async Task<string?> WhyClockIsInDoubtAsync(Terminal terminal, RecordsStore store, Uri weather, CancellationToken cancellationToken)
    {
        Instant now = terminal.Now();
        Instant? noted = await store.Figures.LoadNewestAsync(cancellationToken).ConfigureAwait(false);
        if ((ClockDoubt.Of(now, noted, noted) ?? await ClockDoubt.OfServerAsync(now, store, cancellationToken).ConfigureAwait(false)) is not { } doubt)
        {
            return null;
        }

        IClockWitness witness = terminal.WitnessOf(weather);
        using (witness as IDisposable)
        {
            ClockWord word = await ClockDoubt.AskAsync(now, witness, cancellationToken).ConfigureAwait(false);
            return word.Verdict == ClockVerdict.Right ? null : $"Nothing is sent. {doubt.Sentence(word)} Set it right, or see the machine's time service, and send again.";
        }
    }

    private static async Task<int> SendAsync(Terminal terminal, Round round, Grower asked, ServiceProvider letters, CancellationToken cancellationToken)
    {
        InForce served = await letters.GetRequiredService<GrowersInForce>().LoadAsync(cancellationToken).ConfigureAwait(false);
        if (served.Find(asked.Name) is not { } known)
        {
            return await FailAsync(terminal, $"Nothing is sent: the installation has no grower named {asked.Name}.").ConfigureAwait(false);
        }

        if (served.Stops.Any(stop => string.Equals(stop.Grower, known.Name, StringComparison.OrdinalIgnoreCase)))
        {
            return await FailAsync(terminal, $"Nothing is sent: letters to {known.Name} are stopped.").ConfigureAwait(false);
        }

        Grower grower = known with { Zone = asked.Zone, Units = asked.Units };
        ILedger ledger = letters.GetRequiredService<ILedger>();
        var slot = new LetterSlot(grower.Name, round.Date, LetterKind.Morning);
        if ((await ledger.LoadOccasionAsync(slot, cancellationToken).ConfigureAwait(false)).Count == 0)
        {
            Instant now = terminal.Now();
            Instant useful = Instant.Max(LetterSchedule.TooLateAt(grower, round.Date, served.Morning.Policy), now + SealedLetter.UsualUse);
            await letters.GetRequiredService<MorningSealing>().SealAsync(new MorningLetter(round, useful) { Notice = served.Morning.Notice }, grower, now, cancellationToken).ConfigureAwait(false);
        }

        IReadOnlyCollection<LetterSlot> tried = await letters.GetRequiredService<DeliveryRun>().HandOverAsync(slot, terminal.Now, cancellationToken).ConfigureAwait(false);
        IReadOnlyList<LedgerEntry> copies = await ledger.LoadOccasionAsync(slot, CancellationToken.None).ConfigureAwait(false);
        if (copies.Count == 0)
        {
            return await FailAsync(terminal, $"Nothing is sent: {round.Date:R} lies before the day from which this store makes letters.").ConfigureAwait(false);
        }

        int worst = ExitCode.Fine;
        foreach (LedgerEntry copy in copies)
        {
            (string words, int code) = Say(copy, tried.Contains(copy.Letter.Slot), terminal.Now());
            await terminal.Messages.WriteLineAsync(words).ConfigureAwait(false);
            worst = worst == ExitCode.Failed ? worst : Math.Max(worst, code);
        }

        return worst;
    }

    private static (string Words, int Code) Say(LedgerEntry copy, bool triedHere, Instant now)
    {
        LetterSlot slot = copy.Letter.Slot;
        string to = slot.Channel == LetterSlot.Mail ? copy.Letter.Recipient : $"{slot.Grower} by {slot.Channel}";
        string letter = $"The letter of {slot.Date:R} to {to}";
        return copy.State switch
        {
            LetterState.Accepted when triedHere => ($"Sent to {to}: {copy.LastDetail}", ExitCode.Fine),
            LetterState.Accepted => ($"{letter} was sent already ({copy.LastDetail}); no second one is sent.", ExitCode.Fine),
            LetterState.GivenUp => ($"{letter} was given up ({copy.LastDetail}); no second one is sent.", ExitCode.Failed),
            _ when triedHere => ($"Not sent to {to}: {copy.LastDetail} The letter is kept; serve or another --send tries again.", ExitCode.Failed),
            _ when (copy.Letter.UsefulUntil ?? copy.Letter.SealedAt + SealedLetter.UsualUse) <= now => ($"{letter} has lost its use ({(copy.Tries == 0 ? "it was never tried" : copy.LastDetail)}); it is not sent.", ExitCode.Failed),
            _ => ($"{letter} is in the hands of another program, such as serve; no second one is sent. What comes of it, another --send tells.", ExitCode.InOtherHands),
        };
    }

    private static async Task<int> FailAsync(Terminal terminal, string sentence)
    {
        await terminal.Messages.WriteLineAsync(sentence).ConfigureAwait(false);
        return ExitCode.Failed;
    }
}

/// <summary>An installation that can send.</summary>
/// <param name="Settings">Its settings.</param>
/// <param name="Mail">How it sends.</param>
internal sealed record SendSetUp(SettingsInForce Settings, MailOptions Mail);
