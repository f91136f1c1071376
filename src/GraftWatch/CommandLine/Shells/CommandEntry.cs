using System.CommandLine;
using System.CommandLine.Completions;

namespace GraftWatch.CommandLine.Shells;

/// <summary>One command as the definitions have it: what the manual page prints and the shells complete.</summary>
/// <param name="Path">The words that call it, without the program's name; empty for the program itself.</param>
/// <param name="Description">What it does.</param>
/// <param name="Options">Its options, those of all commands included only at the program itself.</param>
/// <param name="Arguments">Words that stand alone, in their order.</param>
/// <param name="Children">Commands below it.</param>
internal sealed record CommandEntry(
    IReadOnlyList<string> Path, string Description, IReadOnlyList<OptionEntry> Options, IReadOnlyList<ArgumentEntry> Arguments, IReadOnlyList<CommandEntry> Children)
{
    /// <summary>How the program is called.</summary>
    internal const string Program = "graftwatch";

    /// <summary>Its own word.</summary>
    internal string Name => Path.Count == 0 ? Program : Path[^1];

    /// <summary>Reads the definitions; what is hidden there stays hidden.</summary>
    internal static CommandEntry Of(Command command) => Of(command, []);

    /// <summary>It and all commands below it.</summary>
    internal IEnumerable<CommandEntry> All() => Children.SelectMany(child => child.All()).Prepend(this);

    private static CommandEntry Of(Command command, IReadOnlyList<string> path) => new(
        path,
        command.Description ?? string.Empty,
        [.. command.Options.Where(option => !option.Hidden).Select(OptionEntry.Of)],
        [.. command.Arguments.Where(argument => !argument.Hidden).Select(ArgumentEntry.Of)],
        [.. command.Subcommands.Where(child => !child.Hidden).Select(child => Of(child, [.. path, child.Name]))]);
}

/// <summary>One option.</summary>
/// <param name="Names">Its names, the long one first.</param>
/// <param name="Description">What it says.</param>
/// <param name="Value">What stands behind it; null for a switch.</param>
internal sealed record OptionEntry(IReadOnlyList<string> Names, string Description, ValueEntry? Value)
{
    internal static OptionEntry Of(Option option) => new(
        [.. option.Aliases.Append(option.Name).Where(name => name.StartsWith('-')).OrderByDescending(name => name.Length).ThenBy(name => name, StringComparer.Ordinal)],
        option.Description ?? string.Empty,
        option.Arity.MaximumNumberOfValues == 0 || option.ValueType == typeof(bool) ? null : ValueEntry.Of(option.HelpName ?? "VALUE", option.GetCompletions(CompletionContext.Empty)));
}

/// <summary>One word that stands alone.</summary>
/// <param name="Name">Its name.</param>
/// <param name="Description">What it says.</param>
/// <param name="Value">What it may be.</param>
/// <param name="IsOptional">Whether it may be left out.</param>
/// <param name="IsRepeated">Whether there may be several.</param>
internal sealed record ArgumentEntry(string Name, string Description, ValueEntry Value, bool IsOptional, bool IsRepeated)
{
    internal static ArgumentEntry Of(Argument argument) => new(
        argument.HelpName ?? argument.Name,
        argument.Description ?? string.Empty,
        ValueEntry.Of(argument.HelpName ?? argument.Name, argument.GetCompletions(CompletionContext.Empty)),
        argument.Arity.MinimumNumberOfValues == 0,
        argument.Arity.MaximumNumberOfValues > 1);
}

/// <summary>What a value may be, read from the name the help gives it: <c>FILE…</c>, <c>DIR</c>, or words in small letters between bars; and from the words its definition accepts.</summary>
/// <param name="Name">Name in the help.</param>
/// <param name="IsFile">Whether the path of a file may stand here.</param>
/// <param name="IsFolder">Whether the path of a folder stands here.</param>
/// <param name="Words">Words that may stand here.</param>
internal sealed record ValueEntry(string Name, bool IsFile, bool IsFolder, IReadOnlyList<string> Words)
{
    /// <param name="name">Name in the help.</param>
    /// <param name="known">Words the definition itself knows.</param>
    internal static ValueEntry Of(string name, IEnumerable<CompletionItem> known)
    {
        string[] parts = name.Split('|');
        bool isEnding = name.StartsWith("FILE.", StringComparison.Ordinal);
        return new ValueEntry(
            name,
            Array.Exists(parts, part => part.StartsWith("FILE", StringComparison.Ordinal)),
            name == "DIR",
            isEnding ? [] : [.. known.Select(item => item.Label).Concat(parts).Where(word => word.Length > 0 && word.All(letter => char.IsAsciiLetterLower(letter) || letter == '-')).Distinct()]);
    }
}
