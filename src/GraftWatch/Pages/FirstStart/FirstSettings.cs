using System.Globalization;
using System.Text;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Pages.Language;
using GraftWatch.Settings.Installation;

namespace GraftWatch.Pages.FirstStart;

/// <summary>The first graftwatch.toml: what was answered, with the comments of the sample.</summary>
internal static class FirstSettings
{
    private const string Rule = "# --------------------------------------------------------------------------------------------------------------------\n";

    /// <summary>The text of the file.</summary>
    /// <param name="draft">The answers.</param>
    /// <param name="plan">Data folder and where the pages listen.</param>
    /// <param name="passwordFile">File of the mail password; null for none.</param>
    internal static string Write(FirstStartDraft draft, FirstStartPlan plan, string? passwordFile)
    {
        var text = new StringBuilder();
        text.Append("# Where the grafts stand, who gets the letter, how it leaves and where the weather comes from.\n#\n");
        text.Append("# Written at the first start; it is yours to change. The program reads the file again when it changes and refuses a bad\n");
        text.Append("# edit whole. Values carry their unit in quotes: \"120 m\", \"-1.5 K\", \"390 ft\". Decimal point, no comma. What may stand\n");
        text.Append("# here besides is told by the sample config/graftwatch.toml of the program.\n#\n");
        text.Append("# No password belongs into this file. See [mail] below.\n\n");
        Line(text, "data_folder", Quote(plan.DataFolder), "folder of the store and of the letters as files");
        Head(text, "PLACES: one [[place]] for each; a hollow and a hilltop of the same farm are two places.");
        Place(text, draft);
        Head(text, "GROWERS: one [[grower]] for each letter a morning. Their grafts live in the store.");
        Grower(text, draft);
        Head(text, "MAIL: leave the table out and letters are only written as files.");
        Mail(text, draft.Mail, passwordFile);
        Head(text, "PAGE: the pages of serve.");
        Page(text, draft, plan);
        Head(text, "WEATHER: which services are asked, and in which order.");
        text.Append("[weather]\n");
        Line(text, "sources", "[\"open-meteo\"]", "open-meteo: the whole world; met-norway and us-national-weather-service want a contact");
        Line(text, "address", "\"https://api.open-meteo.com\"", "its free host, your customer host, or a server of your own");
        Line(text, "contact", Quote(draft.Grower!.Address), "sent with each request, so that a service can reach you");
        return text.ToString();
    }

    private static void Place(StringBuilder text, FirstStartDraft draft)
    {
        text.Append("[[place]]\n");
        Line(text, "name", Quote(draft.PlaceName!), "as the register writes it in its column \"place\"");
        Line(text, "latitude", Number(draft.Spot!.LatitudeDeg, "0.#####"), "degrees, north positive");
        Line(text, "longitude", Number(draft.Spot.LongitudeDeg, "0.#####"), "degrees, east positive");
        Line(text, "elevation", Quote(Number(draft.Spot.ElevationM, "0.#") + " m"), "height above the sea");
        Line(text, "zone", Quote(draft.Spot.Zone.Id), "time zone by its IANA name");
        text.Append("\n# The rest may be left out; the letter then says what was taken for granted.\n");
        text.Append("# shelter = \"hedged\"           # open, hedged, sheltered, walled, or the share of the wind that gets through: \"60 %\"\n");
        text.Append("# ground = \"grass\"             # grass, bare soil, wet soil, gravel, straw, sand, concrete, snow, or a share: 0.22\n");
        text.Append("# soil = \"loam\"                # sand, loamy sand, sandy loam, loam, silt loam, clay loam, clay, or water: \"140 mm\"\n");
        text.Append("# frost_offset = \"-1.0 K\"      # how much colder the place is than the forecast on clear, calm nights\n");
    }

    private static void Grower(StringBuilder text, FirstStartDraft draft)
    {
        FirstGrower grower = draft.Grower!;
        text.Append("[[grower]]\n");
        Line(text, "name", Quote(grower.Name), "as the letter greets");
        Line(text, "address", Quote(grower.Address), "one address");
        Line(text, "letter_hour", Quote(Days.Hour(grower.Hour)), "local time of the place");
        Line(text, "units", grower.Units == UnitSystem.UnitedStates ? "\"us\"" : "\"metric\"", "metric (°C, km/h, mm) or us (°F, mph, inches)");
        Line(text, "places", "[" + Quote(draft.PlaceName!) + "]", "leave out to mean all places");
        Line(text, "language", Quote(grower.Language), "of the grower's pages: en or de");
        text.Append("# register = \"register.csv\"    # grafts as CSV instead of in the store\n");
    }

    private static void Mail(StringBuilder text, MailSettings? mail, string? passwordFile)
    {
        if (mail is null)
        {
            text.Append("# [mail]\n# host = \"mail.example.org\"\n# security = \"starttls\"        # tls, starttls, or plain to a server on this machine\n");
            text.Append("# from = \"graftwatch@example.org\"\n# user = \"graftwatch\"\n# password_file = \"mail-password\"   # a file that holds the password and nothing else, readable by its owner only\n");
            return;
        }

        text.Append("[mail]\n");
        Line(text, "host", Quote(mail.Host), string.Empty);
        Line(text, "port", mail.Port.ToString(CultureInfo.InvariantCulture), "465 for tls, 587 for starttls, 25 for plain");
        Line(text, "security", mail.Security switch { MailSecurity.Tls => "\"tls\"", MailSecurity.StartTls => "\"starttls\"", _ => "\"plain\"" }, "tls: encrypted from the start; starttls: must switch to encryption; plain: only to a server on this machine");
        Line(text, "from", Quote(mail.From), string.Empty);
        if (mail.User is { } user)
        {
            Line(text, "user", Quote(user), string.Empty);
        }

        if (passwordFile is not null)
        {
            Line(text, "password_file", Quote(Path.GetFileName(passwordFile)), "holds the password and nothing else");
        }

        if (mail.CertificateSha256 is { } digest)
        {
            Line(text, "certificate_sha256", Quote(digest), "of a home server with a certificate of its own");
        }
    }

    private static void Page(StringBuilder text, FirstStartDraft draft, FirstStartPlan plan)
    {
        text.Append("[page]\n");
        Line(text, "listen", Quote(plan.KeepsListen ? plan.Listen : PageSettings.UsualListen), "address and port; 127.0.0.1 is this machine only");
        text.Append("# public_address = \"https://grafts.example.org\"   # as growers reach it; letters carry links once it is set\n\n[operator]\n");
        Line(text, "address", Quote(draft.Grower!.Address), "is told when something is amiss, and may sign in to the operator's pages");
    }

    private static void Head(StringBuilder text, string words) => text.Append('\n').Append(Rule).Append("# ").Append(words).Append('\n').Append(Rule).Append('\n');

    private static void Line(StringBuilder text, string key, string value, string comment)
    {
        string line = $"{key} = {value}";
        text.Append(comment.Length == 0 ? line : line.PadRight(30) + " # " + comment).Append('\n');
    }

    private static string Number(double value, string format) => value.ToString(format, CultureInfo.InvariantCulture);

    /// <summary>A basic string (TOML 1.0, "String"): quotation mark, backslash and controls are escaped.</summary>
    internal static string Quote(string words)
    {
        var text = new StringBuilder("\"");
        foreach (char letter in words)
        {
            _ = letter switch
            {
                '"' => text.Append("\\\""),
                '\\' => text.Append("\\\\"),
                < ' ' or '\u007F' => text.Append(CultureInfo.InvariantCulture, $"\\u{(int)letter:X4}"),
                _ => text.Append(letter),
            };
        }

        return text.Append('"').ToString();
    }
}
