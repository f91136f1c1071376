using System.Globalization;
using System.Text;

namespace GraftWatch.CommandLine.Shells;

/// <summary>The manual page, in the macros of man(7), in ASCII throughout.</summary>
internal static class ManualPage
{
    internal static string Write(CommandEntry root, string version)
    {
        var text = new StringBuilder();
        text.Append(".\\\" Made from the definitions of the commands by: graftwatch manual\n");
        text.Append(CultureInfo.InvariantCulture, $".TH GRAFTWATCH 1 \"\" \"GraftWatch {Plain(version)}\" \"User commands\"\n");
        text.Append(".SH NAME\ngraftwatch \\- aftercare advice for fruit\\-tree grafts from the weather forecast\n");
        text.Append(".SH SYNOPSIS\n");
        foreach (CommandEntry command in root.Children)
        {
            text.Append(".B graftwatch ").Append(Plain(command.Name)).Append('\n').Append(Synopsis(command)).Append(".br\n");
        }

        text.Append(".SH DESCRIPTION\n").Append(Sentence(root.Description));
        text.Append(".SH COMMANDS\n");
        foreach (CommandEntry command in root.All().Where(command => command.Path.Count > 0))
        {
            Command(text, command);
        }

        text.Append(".SH OPTIONS OF THE PROGRAM\n");
        Options(text, root);
        return text.Append(Rest).ToString();
    }

    private static void Command(StringBuilder text, CommandEntry command)
    {
        text.Append(".SS ").Append(Plain(string.Join(' ', command.Path))).Append('\n').Append(Sentence(command.Description));
        foreach (ArgumentEntry argument in command.Arguments)
        {
            text.Append(".TP\n.I ").Append(Plain(argument.Name)).Append('\n').Append(Sentence(argument.Description));
        }

        Options(text, command);
    }

    private static void Options(StringBuilder text, CommandEntry command)
    {
        foreach (OptionEntry option in command.Options)
        {
            string names = string.Join(", ", option.Names.Select(name => $"\\fB{Plain(name)}\\fR"));
            string value = option.Value is null ? string.Empty : $" \\fI{Plain(option.Value.Name)}\\fR";
            text.Append(".TP\n").Append(names).Append(value).Append('\n').Append(Sentence(option.Description));
        }
    }

    private static string Synopsis(CommandEntry command)
    {
        IEnumerable<string> arguments = command.Arguments.Select(argument => (argument.IsOptional, argument.IsRepeated) switch
        {
            (true, true) => $"[\\fI{Plain(argument.Name)}\\fR ...]",
            (true, false) => $"[\\fI{Plain(argument.Name)}\\fR]",
            (false, true) => $"\\fI{Plain(argument.Name)}\\fR ...",
            _ => $"\\fI{Plain(argument.Name)}\\fR",
        });
        string[] words = [.. arguments, .. command.Options.Count > 0 ? ["[\\fIoptions\\fR]"] : Array.Empty<string>()];
        return words.Length == 0 ? string.Empty : string.Join(' ', words) + "\n";
    }

    private static string Sentence(string text) => Plain(text.ReplaceLineEndings(" ")) is { Length: > 0 } line ? line + "\n" : "\\&\n";

    private static string Plain(string text)
    {
        var plain = new StringBuilder(text.Length + 8);
        foreach (Rune rune in text.EnumerateRunes())
        {
            _ = rune.Value switch
            {
                '\\' => plain.Append("\\e"),
                '-' => plain.Append("\\-"),
                '\'' => plain.Append("\\(aq"),
                '"' => plain.Append("\\(dq"),
                < 128 => plain.Append((char)rune.Value),
                var other => plain.Append(CultureInfo.InvariantCulture, $"\\[u{other:X4}]"),
            };
        }

        return plain.Length > 0 && plain[0] == '.' ? plain.Insert(0, "\\&").ToString() : plain.ToString();
    }

    private const string Rest =
        """
        .SH EXIT STATUS
        .TP
        .B 0
        All went well.
        .TP
        .B 1
        Something failed that better input would not have changed.
        .TP
        .B 2
        The input is wrong; every fault was listed.
        .SH FILES
        .TP
        .I graftwatch.toml
        Places, growers, mail and weather; in the folder named by \-\-config, in packages
        .IR /etc/graftwatch .
        .TP
        .IR thresholds.toml ", " species.toml ", " materials.toml
        Levels and the trade's tables; what a file lacks is taken as shipped.
        .TP
        .I /var/lib/graftwatch
        Store, copies and letters as files, in packages.
        .SH ENVIRONMENT
        .TP
        .B GRAFTWATCH_MAIL_PASSWORD
        The password at the mail server.
        .TP
        .B GRAFTWATCH_WEATHER_KEY
        The key of the open forecast API, where it wants one.
        .TP
        .B CREDENTIALS_DIRECTORY
        Set by the service manager; the file graftwatch\-mail\-password in it is the mail password.
        .TP
        .B SSL_CERT_FILE
        Certificate authorities to trust, as one file; left out, those of the system.
        .SH CAUTION
        Everything printed is an estimate.
        The label of a product, local rules and what you see on the tree come first.

        """;
}
