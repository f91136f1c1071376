using GraftWatch.Letters;
using GraftWatch.Pages.Language;
using GraftWatch.Pages.Security;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Pages.People;

/// <summary>Writes the mails that carry links.</summary>
internal sealed class EntryMails(MailOptions options, Func<SiteOptions> site)
{
    private readonly NoticeComposer composer = new(options);

    /// <summary>A fresh link with its mail.</summary>
    internal (EntryLink Link, PageMail Mail) Compose(Wish wish)
    {
        string token = Tokens.Fresh();
        string path = (wish.Purpose == EntryPurpose.Subscribe ? "/subscribe/" : "/sign-in/") + token;
        Instant ends = wish.At + EntryDesk.LinkLife;
        var link = new EntryLink(Tokens.Hash(token), wish.Address, wish.Purpose, wish.Target, wish.At, ends);
        Phrases words = Phrases.In(wish.Language);
        string key = wish.Purpose == EntryPurpose.Subscribe ? "entry.subscribe-mail" : "entry.sign-in-mail";
        string text = string.Join("\n\n", words.Say(key), Root() + path, words.Say("entry.mail-life"), words.Say("entry.mail-not-you")) + "\n";
        return (link, composer.Compose(wish.Address, words.Say(key + "-subject"), text, wish.Language.Tag(), wish.At, ends));
    }

    private string Root() => site().PublicAddress is { } address
        ? address.GetLeftPart(UriPartial.Path).TrimEnd('/')
        : "http://" + Settings.Installation.PageSettings.UsualListen;
}
