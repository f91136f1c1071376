using System.Threading.Channels;
using GraftWatch.Pages.Language;
using GraftWatch.Records;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Pages.People;

/// <summary>Takes wishes to sign in or to subscribe, and answers them by mail.</summary>
/// <remarks>
/// A page only drops a wish here and says the same to everybody at once; who is known is looked up afterwards, so neither
/// words nor time tell. A mail is kept in the store together with its link, then sent and tried again until the link ends.
/// </remarks>
internal sealed class EntryDesk(
    RecordsStore store, Visitors visitors, EntryMails mails, ILetterChannel channel, TimeProvider clock, ILogger<EntryDesk> logger) : BackgroundService
{
    /// <summary>How long a link by mail works.</summary>
    internal static readonly Duration LinkLife = Duration.FromMinutes(15);

    private const int MostWaiting = 500;
    private const int MostAtOnce = 50;
    private static readonly TimeSpan Beat = TimeSpan.FromSeconds(30);
    private static readonly Duration TidyBeat = Duration.FromHours(6);
    private static readonly Duration Hold = Duration.FromMinutes(2);
    private readonly Channel<Wish> wishes = Channel.CreateBounded<Wish>(new BoundedChannelOptions(MostWaiting) { FullMode = BoundedChannelFullMode.Wait, SingleReader = true });
    private long dropped;
    private Instant tidied = Instant.MinValue;

    /// <summary>Leaves a wish; when too many wait it is dropped, and its owner asks again.</summary>
    internal void Leave(Wish wish)
    {
        if (!wishes.Writer.TryWrite(wish))
        {
            Interlocked.Increment(ref dropped);
        }
    }

    /// <inheritdoc/>
    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        using var timer = new PeriodicTimer(Beat, clock);
        Task<bool> beat = timer.WaitForNextTickAsync(stoppingToken).AsTask();
        Task<bool> asked = wishes.Reader.WaitToReadAsync(stoppingToken).AsTask();
        while (!stoppingToken.IsCancellationRequested)
        {
            await Task.WhenAny(beat, asked).ConfigureAwait(false);
            if (stoppingToken.IsCancellationRequested)
            {
                return;
            }

            beat = beat.IsCompleted ? timer.WaitForNextTickAsync(stoppingToken).AsTask() : beat;
            await WorkAsync(stoppingToken).ConfigureAwait(false);
            asked = asked.IsCompleted ? wishes.Reader.WaitToReadAsync(stoppingToken).AsTask() : asked;
        }
    }

    private async Task WorkAsync(CancellationToken cancellationToken)
    {
        try
        {
            while (wishes.Reader.TryRead(out Wish? wish))
            {
                await AnswerAsync(wish, cancellationToken).ConfigureAwait(false);
            }

            if (Interlocked.Exchange(ref dropped, 0) is > 0 and var lost)
            {
                Log.WishesDropped(logger, lost);
            }

            await SendAsync(cancellationToken).ConfigureAwait(false);
            await TidyAsync(cancellationToken).ConfigureAwait(false);
        }
        catch (Exception failure) when (failure is not OperationCanceledException || !cancellationToken.IsCancellationRequested)
        {
            Log.PageMailsFailed(logger, failure);
        }
        catch (OperationCanceledException)
        {
            // The program stops; what is kept is sent after the next start.
        }
    }

    private async Task TidyAsync(CancellationToken cancellationToken)
    {
        Instant now = Now();
        if (tidied == Instant.MinValue || now - tidied >= TidyBeat)
        {
            tidied = now;
            await store.People.TidyAsync(now, cancellationToken).ConfigureAwait(false);
        }
    }

    private async Task AnswerAsync(Wish wish, CancellationToken cancellationToken)
    {
        if (wish.Purpose == EntryPurpose.ChangeAddress)
        {
            await AnswerChangeAsync(wish, cancellationToken).ConfigureAwait(false);
            return;
        }

        bool known = await visitors.IsKnownAsync(wish.Address, cancellationToken).ConfigureAwait(false);
        if (wish.Purpose == EntryPurpose.SignIn && !known)
        {
            return;
        }

        // Who subscribes twice gets a link to sign in: they are here already.
        Wish answered = known ? wish with { Purpose = EntryPurpose.SignIn } : wish;
        (EntryLink link, PageMail mail) = mails.Compose(answered);
        await store.People.OfferAsync(link, mail, most: answered.Purpose == EntryPurpose.Subscribe ? 1 : 3, LinkLife, cancellationToken).ConfigureAwait(false);
    }

    // The old address is told before the new one can act, and also when the new one is somebody's already.
    private async Task AnswerChangeAsync(Wish wish, CancellationToken cancellationToken)
    {
        await store.PageMails.KeepAsync(mails.ComposeNotice(wish), cancellationToken).ConfigureAwait(false);
        if (!await visitors.HasLettersAsync(wish.Address, cancellationToken).ConfigureAwait(false))
        {
            (EntryLink link, PageMail mail) = mails.Compose(wish);
            await store.People.OfferAsync(link, mail, most: 1, LinkLife, cancellationToken).ConfigureAwait(false);
        }
    }

    private async Task SendAsync(CancellationToken cancellationToken)
    {
        IReadOnlyList<PageMail> due;
        do
        {
            due = await store.PageMails.TakeDueAsync(Now(), Hold, MostAtOnce, cancellationToken).ConfigureAwait(false);
            foreach (PageMail mail in due)
            {
                await SendAsync(mail, cancellationToken).ConfigureAwait(false);
            }
        }
        while (due.Count == MostAtOnce);
    }

    private async Task SendAsync(PageMail mail, CancellationToken cancellationToken)
    {
        Instant now = Now();
        if (now >= mail.UsefulUntil)
        {
            await store.PageMails.RecordAsync(mail.Id, new DeliveryResult(DeliveryOutcome.GiveUp, DeliveryReason.None, "too late: its link has ended"), null, cancellationToken).ConfigureAwait(false);
            return;
        }

        var slot = new LetterSlot("sign-in", now.InUtc().Date, LetterKind.Morning);
        var letter = new SealedLetter(slot, (int)(mail.Id % int.MaxValue), mail.MessageId, mail.Address, mail.Subject, mail.Bytes, mail.SealedAt);
        DeliveryResult result = await channel.DeliverAsync(letter, cancellationToken).ConfigureAwait(false);
        if (result.Outcome != DeliveryOutcome.Accepted)
        {
            Log.PageMailNotTaken(logger, result.Reason.ToString(), result.Detail);
        }

        Instant next = Now() + Duration.FromSeconds(Math.Min(300, 30 << Math.Min(mail.Tries, 4)));
        await store.PageMails.RecordAsync(mail.Id, result, result.Outcome is DeliveryOutcome.Accepted or DeliveryOutcome.GiveUp ? null : next, cancellationToken).ConfigureAwait(false);
    }

    private Instant Now() => Instant.FromDateTimeOffset(clock.GetUtcNow());
}

/// <summary>Somebody wants a link by mail.</summary>
/// <param name="Address">Mail address, checked.</param>
/// <param name="Purpose">What for.</param>
/// <param name="Language">Language of the page they asked on.</param>
/// <param name="Target">Path to open afterwards, empty for the first page; for a change of address the one that is left.</param>
/// <param name="At">When.</param>
internal sealed record Wish(string Address, EntryPurpose Purpose, PageLanguage Language, string Target, Instant At);
