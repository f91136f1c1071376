using System.CommandLine;
using GraftWatch.CommandLine;
using GraftWatch.CommandLine.Shells;

namespace GraftWatch.Packaging.Tests;

/// <summary>Completion and manual page say everything the definitions say, and real shells and formatters take them.</summary>
public sealed class ShellCompletionTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("graftwatch-shell-").FullName;

    public static TheoryData<string, string> BashLines => new()
    {
        { "graftwatch ro", "round" },
        { "graftwatch round --uni", "--units" },
        { "graftwatch round --units ", "metric us" },
        { "graftwatch round --units=u", "us" },
        { "graftwatch explain --format c", "csv" },
        { "graftwatch completion f", "fish" },
        { "graftwatch import two", "two words.csv" },
        { "graftwatch round --config co", "conf" },
        { "graftwatch round --grower ", "" },
        { "graftwatch demo --out x --he", "--help" },
    };

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Fact]
    public void Every_command_and_every_option_is_in_each_of_them()
    {
        Command[] commands = [.. Below(Root())];
        Assert.True(commands.Length > 10);
        CommandEntry entry = CommandEntry.Of(Root());
        string manual = ManualPage.Write(entry, "1.2.3").Replace("\\-", "-", StringComparison.Ordinal);
        string[] shells = [BashCompletion.Write(entry), ZshCompletion.Write(entry), FishCompletion.Write(entry)];
        foreach (Command command in commands.Where(command => !command.Hidden))
        {
            Assert.Contains($".SS {string.Join(' ', PathOf(command))}\n", manual, StringComparison.Ordinal);
            Assert.All(shells, shell => Assert.Contains(command.Name, shell, StringComparison.Ordinal));
            foreach (Option option in command.Options.Where(option => !option.Hidden))
            {
                Assert.Contains($"\\fB{option.Name}\\fR", manual, StringComparison.Ordinal);
                Assert.All(shells, shell => Assert.Matches($@"(--|-l ){System.Text.RegularExpressions.Regex.Escape(option.Name[2..])}\b", shell));
            }
        }
    }

    [Theory]
    [MemberData(nameof(BashLines))]
    public void Bash_completes(string line, string expected)
    {
        Shell.OrSkip("bash", "bash");
        File.WriteAllText(Path.Combine(folder, "two words.csv"), string.Empty);
        Directory.CreateDirectory(Path.Combine(folder, "conf"));
        string script = Path.Combine(folder, "graftwatch.bash");
        File.WriteAllText(script, BashCompletion.Write(CommandEntry.Of(Root())));
        // As readline does it: words are also parted at an equals sign.
        const string Ask =
            """
            source "$1"
            line=${2//=/ = }
            read -ra COMP_WORDS <<<"$line"
            [[ $line == *" " ]] && COMP_WORDS+=("")
            COMP_CWORD=$((${#COMP_WORDS[@]} - 1))
            _graftwatch
            printf '%s\n' "${COMPREPLY[@]}"
            """;
        string answer = Shell.RunIn(folder, null, "bash", "-c", Ask, "ask", script, line.Replace("=u", "= u", StringComparison.Ordinal)).Fine().Trim();
        Assert.Equal(expected, expected.Contains(' ', StringComparison.Ordinal) && !expected.EndsWith(".csv", StringComparison.Ordinal) ? answer.Replace('\n', ' ') : answer);
    }

    [Fact]
    public void Zsh_reads_its_completion_and_knows_the_commands()
    {
        Shell.OrSkip("zsh", "zsh");
        string file = Path.Combine(folder, "_graftwatch");
        File.WriteAllText(file, ZshCompletion.Write(CommandEntry.Of(Root())));
        Shell.Run("zsh", "-n", file).Fine();
        string said = Shell.RunIn(folder, null, "zsh", "-fc", "fpath=($PWD $fpath); autoload -Uz compinit && compinit -u -D; print -r -- $_comps[graftwatch]; autoload +X _graftwatch; print ok").Fine();
        Assert.Equal("_graftwatch\nok\n", said);
    }

    [Fact]
    public void Fish_completes_commands_options_and_words()
    {
        Shell.OrSkip("fish", "fish");
        string file = Path.Combine(folder, "graftwatch.fish");
        File.WriteAllText(file, FishCompletion.Write(CommandEntry.Of(Root())));
        string[] Complete(string line) => [.. Shell.RunIn(folder, new Dictionary<string, string?> { ["HOME"] = folder }, "fish", "-c", $"source {file}; complete --do-complete '{line}'").Fine().Split('\n', StringSplitOptions.RemoveEmptyEntries).Select(answer => answer.Split('\t')[0])];
        Assert.Contains("round", Complete("graftwatch ro"));
        Assert.Contains("--units", Complete("graftwatch round --un"));
        Assert.Equal(["metric", "us"], Complete("graftwatch round --units "));
        Assert.Equal(["bash", "fish", "zsh"], Complete("graftwatch completion ").Order());
    }

    [Fact]
    public void The_manual_page_is_set_without_a_warning_and_shows_its_signs()
    {
        Shell.OrSkip("groff", "groff");
        string file = Path.Combine(folder, "graftwatch.1");
        File.WriteAllText(file, ManualPage.Write(CommandEntry.Of(Root()), "1.2.3"));
        Assert.All(File.ReadAllBytes(file), letter => Assert.True(letter < 128));
        Shell.Said said = Shell.RunIn(folder, null, "groff", "-man", "-ww", "-rHY=0", "-Tutf8", "-P-cbou", file);
        Assert.Equal(string.Empty, said.Messages);
        string page = string.Join(' ', said.Fine().Split((char[])[' ', '\n'], StringSplitOptions.RemoveEmptyEntries));
        Assert.Contains("metric (°C, km/h, mm)", page, StringComparison.Ordinal);
        Assert.Contains("EXIT STATUS 0 All went well.", page, StringComparison.Ordinal);
    }

    private static RootCommand Root() => GraftWatchCommand.Build(new Terminal(TextWriter.Null, TextWriter.Null, TimeProvider.System, "/"));

    private static IEnumerable<Command> Below(Command command) => command.Subcommands.SelectMany(child => Below(child).Prepend(child));

    private static IEnumerable<string> PathOf(Command command) => command.Parents.OfType<Command>().Where(parent => parent is not RootCommand).SelectMany(PathOf).Append(command.Name);
}
