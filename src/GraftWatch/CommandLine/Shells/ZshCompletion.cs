using System.Text;

namespace GraftWatch.CommandLine.Shells;

/// <summary>Completion for zsh, a function for each command.</summary>
internal static class ZshCompletion
{
    internal static string Write(CommandEntry root)
    {
        var text = new StringBuilder("#compdef graftwatch\n# Completion of graftwatch for zsh. Made by: graftwatch completion zsh\n");
        foreach (CommandEntry command in root.All())
        {
            Function(text, command);
        }

        return text.Append("\n_graftwatch \"$@\"\n").ToString();
    }

    private static void Function(StringBuilder text, CommandEntry command)
    {
        text.Append('\n').Append(Name(command)).Append("() {\n");
        var arguments = new List<string>();
        foreach (OptionEntry option in command.Options)
        {
            arguments.AddRange(option.Names.Select(name => ShellWords.Quoted($"{name}[{Bare(option.Description)}]{Value(option.Value)}")));
        }

        arguments.AddRange(command.Arguments.Select((argument, i) =>
            ShellWords.Quoted($"{(argument.IsRepeated ? "*" : (i + 1).ToString(System.Globalization.CultureInfo.InvariantCulture))}:{Bare(argument.Name)}{Action(argument.Value)}")));
        if (command.Children.Count == 0)
        {
            text.Append("    _arguments \\\n        ").AppendJoin(" \\\n        ", arguments.Append("'--help[Show help]'").Distinct()).Append("\n}\n");
            return;
        }

        text.Append("    local curcontext=$curcontext state line\n    local -a known\n    typeset -A opt_args\n    _arguments -C \\\n        ");
        text.AppendJoin(" \\\n        ", arguments.Append("'1: :->command'").Append("'*:: :->rest'")).Append("\n    case $state in\n        command)\n            known=(\n");
        foreach (CommandEntry child in command.Children)
        {
            text.Append("                ").Append(ShellWords.Quoted($"{child.Name}:{ShellWords.Short(child.Description)}")).Append('\n');
        }

        text.Append("            )\n            _describe command known ;;\n        rest)\n            case $words[1] in\n");
        foreach (CommandEntry child in command.Children)
        {
            text.Append("                ").Append(child.Name).Append(") ").Append(Name(child)).Append(" ;;\n");
        }

        text.Append("            esac ;;\n    esac\n}\n");
    }

    private static string Name(CommandEntry command) => "_graftwatch" + string.Concat(command.Path.Select(word => "_" + word));

    // Brackets and colons part the fields of a specification.
    private static string Bare(string text) => ShellWords.Short(text).Replace("[", "\\[", StringComparison.Ordinal).Replace("]", "\\]", StringComparison.Ordinal).Replace(":", "\\:", StringComparison.Ordinal);

    private static string Value(ValueEntry? value) => value is null ? string.Empty : $":{Bare(value.Name)}{Action(value)}";

    private static string Action(ValueEntry value) => value switch
    {
        { IsFolder: true } => ":_files -/",
        { IsFile: true } => ":_files",
        { Words.Count: > 0 } => $":({string.Join(' ', value.Words)})",
        _ => ":",
    };
}
