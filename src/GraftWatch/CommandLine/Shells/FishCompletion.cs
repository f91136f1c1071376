using System.Text;

namespace GraftWatch.CommandLine.Shells;

/// <summary>Completion for fish.</summary>
internal static class FishCompletion
{
    internal static string Write(CommandEntry root)
    {
        var text = new StringBuilder("# Completion of graftwatch for fish. Made by: graftwatch completion fish\ncomplete -c graftwatch -f\n");
        foreach (CommandEntry command in root.All())
        {
            string when = command.Path.Count == 0 ? "__fish_use_subcommand" : string.Join("; and ", command.Path.Select(word => "__fish_seen_subcommand_from " + word));
            string inside = $"complete -c graftwatch -n {Quoted(when)}";
            foreach (CommandEntry child in command.Children)
            {
                text.Append(inside).Append(" -a ").Append(child.Name).Append(" -d ").Append(Quoted(ShellWords.Short(child.Description))).Append('\n');
            }

            foreach (OptionEntry option in command.Options)
            {
                text.Append(inside).Append(Names(option)).Append(Value(option.Value)).Append(" -d ").Append(Quoted(ShellWords.Short(option.Description))).Append('\n');
            }

            if (command.Arguments.Any(argument => argument.Value.IsFile))
            {
                text.Append(inside).Append(" -F\n");
            }

            foreach (string word in command.Arguments.SelectMany(argument => argument.Value.Words))
            {
                text.Append(inside).Append(" -a ").Append(word).Append('\n');
            }
        }

        return text.ToString();
    }

    private static string Names(OptionEntry option) => string.Concat(option.Names.Select(name => name switch
    {
        ['-', '-', ..] => " -l " + name[2..],
        ['-', var letter] => " -s " + (letter == '?' ? "'?'" : letter.ToString()),
        _ => string.Empty,
    }));

    private static string Value(ValueEntry? value) => value switch
    {
        null => string.Empty,
        { IsFolder: true } => " -x -a '(__fish_complete_directories)'",
        { IsFile: true } => " -r -F",
        { Words.Count: > 0 } => $" -x -a {Quoted(string.Join(' ', value.Words))}",
        _ => " -x",
    };

    // Fish knows both \' and \\ inside single quotes, and nothing else.
    private static string Quoted(string text) => "'" + text.Replace("\\", "\\\\", StringComparison.Ordinal).Replace("'", "\\'", StringComparison.Ordinal) + "'";
}
