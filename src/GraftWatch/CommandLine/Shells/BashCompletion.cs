using System.Text;

namespace GraftWatch.CommandLine.Shells;

/// <summary>Completion for bash; needs no package beside bash itself.</summary>
internal static class BashCompletion
{
    internal static string Write(CommandEntry root)
    {
        var text = new StringBuilder();
        text.Append(
            """
            # Completion of graftwatch for bash. Made by: graftwatch completion bash
            # Names of files may hold blanks: each answer is one line.
            _graftwatch_add() {
                mapfile -t -O ${#COMPREPLY[@]} COMPREPLY < <(compgen "$@" -- "$cur")
            }

            _graftwatch() {
                local cur=${COMP_WORDS[COMP_CWORD]} prev=${COMP_WORDS[COMP_CWORD-1]} at= i
                COMPREPLY=()
                if [[ $cur == "=" ]]; then
                    cur=
                elif [[ $prev == "=" ]]; then
                    prev=${COMP_WORDS[COMP_CWORD-2]}
                fi
                for ((i = 1; i < COMP_CWORD; i++)); do
                    case "$at/${COMP_WORDS[i]}" in

            """);
        foreach (CommandEntry command in root.All().Where(command => command.Path.Count > 0))
        {
            text.Append("            ").Append(Place(command)).Append(") at=").Append(Place(command)).Append(" ;;\n");
        }

        text.Append("        esac\n    done\n    case \"$at $prev\" in\n");
        foreach (CommandEntry command in root.All())
        {
            foreach (OptionEntry option in command.Options.Where(option => option.Value is not null))
            {
                string labels = string.Join('|', option.Names.Select(name => $"\"{Place(command)} {name}\""));
                text.Append("        ").Append(labels).Append(") ").Append(Values(option.Value!)).Append("; return ;;\n");
            }
        }

        text.Append("    esac\n    case \"$at\" in\n");
        foreach (CommandEntry command in root.All())
        {
            string words = string.Join(' ', command.Children.Select(child => child.Name).Concat(command.Options.SelectMany(option => option.Names.Where(name => name.StartsWith("--", StringComparison.Ordinal)))).Append("--help").Distinct());
            string alone = string.Concat(command.Arguments.Select(argument => " " + Values(argument.Value) + ";").Distinct());
            text.Append("        \"").Append(Place(command)).Append("\") _graftwatch_add -W \"").Append(words).Append("\";");
            text.Append(alone.Length == 0 ? string.Empty : $" if [[ $cur != -* ]]; then{alone} fi;").Append(" return ;;\n");
        }

        return text.Append("    esac\n}\ncomplete -F _graftwatch graftwatch\n").ToString();
    }

    private static string Place(CommandEntry command) => string.Concat(command.Path.Select(word => "/" + word));

    private static string Values(ValueEntry value)
    {
        string[] parts =
        [
            .. value.Words.Count > 0 ? [$"_graftwatch_add -W \"{string.Join(' ', value.Words)}\""] : Array.Empty<string>(),
            .. value.IsFile ? ["compopt -o filenames 2>/dev/null; _graftwatch_add -f"] : Array.Empty<string>(),
            .. value.IsFolder ? ["compopt -o filenames 2>/dev/null; _graftwatch_add -d"] : Array.Empty<string>(),
        ];
        return parts.Length == 0 ? ":" : string.Join("; ", parts);
    }
}
