using GraftWatch.Letters;
using GraftWatch.Letters.Links;
using GraftWatch.Pages.Language;
using GraftWatch.Pages.Security;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Pages.People;

/// <summary>Writes the mails that carry links.</summary>
internal sealed class EntryMails(MailOptions options, Func<SiteOptions> site, OwnAddress own)
{
    private static readonly Duration NoticeLife = Duration.FromDays(1);
    private readonly NoticeComposer composer = new(options);

    /// <summary>A fresh link with its mail.</summary>
    internal (EntryLink Link, PageMail Mail) Compose(Wish wish)
    {
        string token = Tokens.Fresh();
        (string folder, string key) = wish.Purpose switch
        {
            EntryPurpose.SignIn => ("/sign-in/", "entry.sign-in-mail"),
            EntryPurpose.Subscribe => ("/subscribe/", "entry.subscribe-mail"),
            EntryPurpose.ChangeAddress => ("/address/", "address.mail"),
            _ => throw new System.Diagnostics.UnreachableException(),
        };
        Instant ends = wish.At + EntryDesk.LinkLife;
        var link = new EntryLink(Tokens.Hash(token), wish.Address, wish.Purpose, wish.Target, wish.At, ends);
        Phrases words = Phrases.In(wish.Language);
        string text = string.Join("\n\n", words.Say(key), Root() + folder + token, words.Say("entry.mail-life"), words.Say("entry.mail-not-you")) + "\n";
        return (link, composer.Compose(wish.Address, words.Say(key + "-subject"), text, wish.Language.Tag(), wish.At, ends));
    }

    /// <summary>Tells the address that is to be left; it names the new one only as far as its owner knows it again.</summary>
    internal PageMail ComposeNotice(Wish wish)
    {
        Phrases words = Phrases.In(wish.Language);
        string text = string.Join("\n\n", words.Say("address.notice", ActionPages.Mask(wish.Address)), words.Say("address.notice-not-you"), Root() + "/you") + "\n";
        return composer.Compose(wish.Target, words.Say("address.notice-subject"), text, wish.Language.Tag(), wish.At, wish.At + NoticeLife);
    }

    private string Root() => (site().PublicAddress ?? own.Root).GetLeftPart(UriPartial.Path).TrimEnd('/');
}
