using System.Globalization;
using GraftWatch.Checks;
using GraftWatch.Letters;
using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using GraftWatch.Serving;
using GraftWatch.Settings.Installation;
using GraftWatch.Settings.Secrets;
using MailSecurity = GraftWatch.Settings.Installation.MailSecurity;

namespace GraftWatch.Pages.FirstStart;

/// <summary>How letters leave: by a mail server that is tried at once, or as files for now.</summary>
internal sealed class MailPages(FirstStartDesk desk, CheckScope scope) : IPageGroup
{
    private const string Path = "/first-start/mail";

    // Less than the time a page has for its answer.
    private static readonly TimeSpan LongestTrial = TimeSpan.FromSeconds(25);

    private static readonly (string Word, MailSecurity Value)[] Securities = [("starttls", MailSecurity.StartTls), ("tls", MailSecurity.Tls), ("plain", MailSecurity.Plain)];

    public void Map(PageRoutes routes)
    {
        routes.Get(Path, Access.Anyone, FirstStartSteps.Inside(desk, page => Task.FromResult(Form(page, Fresh(page), null))));
        routes.Post(Path, Access.Anyone, FirstStartSteps.Inside(desk, KeepAsync));
    }

    private PageForm Fresh(PageContext page)
    {
        PageForm form = PageForm.Fresh(page).With("security", "starttls");
        return desk.Draft.Mail is not { } mail
            ? form
            : form.With("host", mail.Host).With("security", Securities.First(one => one.Value == mail.Security).Word).With("port", mail.Port.ToString(CultureInfo.InvariantCulture))
                .With("user", mail.User).With("from", mail.From).With("certificate", mail.CertificateSha256);
    }

    private PageAnswer Form(PageContext page, PageForm form, CheckLine? trial) => FirstStartSteps.Show(page, "first.mail", html =>
    {
        html.Paragraph(page.Say("first.mail-how"), "lead");
        html.FaultSummary(page, form);
        if (trial is not null)
        {
            using (html.In("div", ("class", "alarm"), ("role", "alert")))
            {
                html.Paragraph(page.Say("first.mail-failed"));
                html.Leaf("p", trial.What + (trial.Mend.Length > 0 ? " " + trial.Mend : string.Empty), ("lang", "en"));
            }
        }

        html.Form(page, Path, () =>
        {
            Fields(html, page, form);
            html.Button(page.Say("first.mail-test"), name: "act", value: "test");
            if (trial is not null)
            {
                html.Button(page.Say("first.mail-keep"), "second", "act", "keep");
            }

            html.Button(page.Say("first.mail-files"), "second", "act", "files");
            html.Paragraph(page.Say("first.mail-files-how"), "small");
        });
    });

    private void Fields(Html html, PageContext page, PageForm form)
    {
        html.TextField(form, "host", page.Say("first.mail-host"), new FieldLook(page.Say("first.mail-host-how"), Limit: 253));
        html.TextField(form, "user", page.Say("first.mail-user"), new FieldLook(page.Say("first.mail-user-how"), Limit: 254));
        Password(html, page);
        using (html.In("details", ("open", form.IsSound && form.Raw("from").Length == 0 && form.Raw("certificate").Length == 0 ? null : string.Empty)))
        {
            html.Leaf("summary", page.Say("first.mail-more"));
            html.ChoiceField(form, "security", page.Say("first.mail-security"), Securities.Select(one => (one.Word, page.Say("first.mail-" + one.Word))));
            html.TextField(form, "port", page.Say("first.mail-port"), new FieldLook(page.Say("first.mail-port-how"), InputMode: "numeric", Limit: 5));
            html.TextField(form, "from", page.Say("first.mail-from"), new FieldLook(page.Say("first.mail-from-how"), Type: "email", Limit: 254));
            html.TextField(form, "certificate", page.Say("first.mail-certificate"), new FieldLook(page.Say("first.mail-certificate-how"), Limit: 64));
        }
    }

    // A password is never written into a page.
    private void Password(Html html, PageContext page)
    {
        using (html.In("div", ("class", "field")))
        {
            html.Leaf("label", page.Say("first.mail-password"), ("for", "f-password"));
            html.Leaf("p", page.Say(desk.Draft.Password.Length > 0 ? "first.mail-password-kept" : "first.mail-password-how"), ("class", "hint"), ("id", "h-password"));
            html.Void("input", ("type", "password"), ("id", "f-password"), ("name", "password"), ("autocomplete", "off"), ("maxlength", "500"), ("aria-describedby", "h-password"));
        }
    }

    private async Task<PageAnswer> KeepAsync(PageContext page)
    {
        PageForm form = await page.ReadFormAsync().ConfigureAwait(false);
        if (form.Raw("act") == "files")
        {
            desk.Draft = desk.Draft with { Mail = null, Password = string.Empty, KnowsMail = true };
            return page.Next(desk.Draft.NextStep);
        }

        MailSettings? mail = Read(page, form);
        if (mail is null)
        {
            return Form(page, form, null);
        }

        // The password of another server or user is not tried at this one.
        string typed = form.Raw("password");
        bool same = desk.Draft.Mail is { } before && before.Host == mail.Host && before.User == mail.User;
        desk.Draft = desk.Draft with { Mail = mail, Password = mail.User is null ? string.Empty : typed.Length > 0 ? typed : same ? desk.Draft.Password : string.Empty, KnowsMail = form.Raw("act") == "keep" };
        if (!desk.Draft.KnowsMail)
        {
            CheckLine trial = await TryAsync(page, mail, desk.Draft.Password).ConfigureAwait(false);
            if (trial.Verdict > CheckVerdict.Look)
            {
                return Form(page, form, trial);
            }

            desk.Draft = desk.Draft with { KnowsMail = true };
        }

        return page.Next(desk.Draft.NextStep, form.Raw("act") == "keep" ? null : "said.mail-works");
    }

    private static MailSettings? Read(PageContext page, PageForm form)
    {
        string host = form.Text("host", 253, required: true);
        if (host.Length > 0 && Uri.CheckHostName(host) == UriHostNameType.Unknown)
        {
            form.Fault("host", page.Say("first.mail-host-not"));
        }

        string user = form.Text("user", 254);
        MailSecurity security = form.Choice("security", Securities);
        double port = form.Number("port", 1, 65535);
        string from = form.Text("from", 254) is { Length: > 0 } given ? given : user;
        if (MailAddresses.Check(from) is not null)
        {
            form.Fault("from", page.Say("first.mail-from-not"));
        }

        string certificate = form.Text("certificate", 64);
        if (certificate.Length > 0 && (certificate.Length != 64 || !certificate.All(char.IsAsciiHexDigit)))
        {
            form.Fault("certificate", page.Say("first.mail-certificate-not"));
        }

        if (form.Raw("password").Any(char.IsControl))
        {
            form.Fault("user", page.Say("form.controls"));
        }

        return !form.IsSound ? null : new MailSettings
        {
            Host = host,
            Port = double.IsNaN(port) ? UsualPort(security) : (int)port,
            Security = security,
            From = from,
            User = user.Length == 0 ? null : user,
            CertificateSha256 = certificate.Length == 0 ? null : certificate,
        };
    }

    private static int UsualPort(MailSecurity security) => security switch
    {
        MailSecurity.Tls => 465,
        MailSecurity.StartTls => 587,
        _ => 25,
    };

    private async Task<CheckLine> TryAsync(PageContext page, MailSettings mail, string password)
    {
        MailOptions options = MailSetUp.Options(mail with { User = null }, _ => null, out _) with { UserName = mail.User ?? string.Empty, Password = password };
        using var limit = CancellationTokenSource.CreateLinkedTokenSource(page.Stopped);
        limit.CancelAfter(LongestTrial);
        try
        {
            return await new MailLine(mail, options, new Secret(password, page.Say("first.mail-this-page"), null), scope).TryAsync(limit.Token).ConfigureAwait(false);
        }
        catch (OperationCanceledException) when (!page.Stopped.IsCancellationRequested)
        {
            return new CheckLine("mail", CheckVerdict.Failed, $"mail.host: {mail.Host}:{mail.Port} was not through after {LongestTrial.TotalSeconds:0} s.", "Try again; if it stays so, correct host and port.");
        }
    }
}
