using GraftWatch.Aftercare.Advising;
using GraftWatch.Letters;
using GraftWatch.Letters.Channels;
using GraftWatch.Letters.Links;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Serving;

/// <summary>Composes letters as the settings of now want them: with links once there is a public address, by mail and by every other channel of the grower.</summary>
internal sealed class ServedLetters(MailOptions mail, SettingsInForce settings, ChannelTargets targets, InstallationSecret secret) : ILetterComposer
{
    private volatile MailComposer? made;

    /// <inheritdoc/>
    public SealedLetter Compose(Round round, Grower grower, int number, Instant now) => ByMail().Compose(round, grower, number, now);

    /// <inheritdoc/>
    public SealedLetter Compose(Round round, Grower grower, LetterOccasion occasion) => ByMail().Compose(round, grower, RequestOf(occasion));

    /// <inheritdoc/>
    public IReadOnlyList<SealedLetter> ComposeAll(Round round, Grower grower, LetterOccasion occasion)
    {
        LetterRequest request = RequestOf(occasion);
        var letters = new List<SealedLetter>();
        foreach (string channel in occasion.Kind == LetterKind.Urgent ? grower.Urgent : grower.Morning)
        {
            if (channel == LetterSlot.Mail)
            {
                letters.Add(ByMail().Compose(round, grower, request));
            }
            else if (targets.Find(grower.Name, channel) is { } target)
            {
                letters.Add(MessageComposer.Compose(round, grower, target, request));
            }
        }

        // A channel that is gone must not leave the grower without a word.
        return letters.Count > 0 ? letters : [ByMail().Compose(round, grower, request)];
    }

    private static LetterRequest RequestOf(LetterOccasion occasion) => new()
    {
        Number = occasion.Number,
        Now = occasion.Now,
        Kind = occasion.Kind,
        Ordinal = occasion.Ordinal,
        DueAt = occasion.DueAt,
        Notice = occasion.Notice,
        Previous = occasion.Previous,
    };

    private LetterComposer ByMail()
    {
        Uri? address = settings.Current.Installation.Page.PublicAddress;
        MailComposer? known = made;
        if (known is null || known.PublicAddress != address)
        {
            ActionLinks? links = address is null ? null : new ActionLinks(address, [secret.Value]);
            known = new MailComposer(address, new LetterComposer(mail, links, grower => new LetterChoices(grower.Picture, grower.Calendar)));
            made = known;
        }

        return known.Composer;
    }

    private sealed record MailComposer(Uri? PublicAddress, LetterComposer Composer);
}
