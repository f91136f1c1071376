using System.CommandLine;
using GraftWatch.Aftercare.Advising;
using GraftWatch.CommandLine;
using GraftWatch.Inputs;
using GraftWatch.Letters;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Commands;

/// <summary>Shows one morning of an invented nursery: no network, no settings, always the same.</summary>
internal static class DemoCommand
{
    private const string DefaultLetter = "graftwatch-demo.eml";
    private static readonly LocalDate Day = new(2026, 5, 12);

    internal static Command Build(Terminal terminal)
    {
        var letter = new Option<string>("--out")
        {
            Description = "Where the letter is written; a mail program opens it.",
            HelpName = "FILE",
            DefaultValueFactory = _ => DefaultLetter,
        };
        var command = new Command("demo", "Show one morning of an invented nursery, without network or settings, and write its letter.") { letter };
        command.SetAction((parsed, cancellationToken) => RunAsync(terminal, parsed.GetValue(letter)!, cancellationToken));
        return command;
    }

    private static async Task<int> RunAsync(Terminal terminal, string letterPath, CancellationToken cancellationToken)
    {
        PreparedRound prepared = SavedRound.Prepare(Options(), terminal.Now());
        if (prepared.Inputs is not { } inputs)
        {
            return terminal.Refuse(prepared.Faults);
        }

        Round round = RoundMaker.Make(inputs.Request);
        Grower grower = inputs.Grower with { Address = "mara@sorrelbank.example" };
        var composer = new LetterComposer(new MailOptions { From = "graftwatch@sorrelbank.example" });
        SealedLetter letter = composer.Compose(round, grower, 1, round.Now);

        string path = terminal.PathOf(letterPath);
        await File.WriteAllBytesAsync(path, letter.Bytes, cancellationToken).ConfigureAwait(false);
        await terminal.Results.WriteAsync(RoundText.Render(round).AsMemory(), cancellationToken).ConfigureAwait(false);
        await terminal.Messages.WriteLineAsync($"Nursery, people and weather are invented. The letter is in {path}; open it with a mail program.").ConfigureAwait(false);
        return ExitCode.Fine;
    }

    /// <summary>What the demonstration is made from.</summary>
    internal static SavedRoundOptions Options() => new()
    {
        Weather = Shipped("demo/weather.json"),
        WeatherName = "invented weather",
        Grafts = Shipped("demo/register.csv"),
        GraftsName = "demo/register.csv",
        Date = Day,
        Grower = "Mara",
        Planned = ["apple bark"],
        Zone = DateTimeZoneProviders.Tzdb["Europe/Berlin"],
    };

    private static byte[] Shipped(string name)
    {
        using Stream stream = typeof(DemoCommand).Assembly.GetManifestResourceStream(name)!;
        var bytes = new byte[stream.Length];
        stream.ReadExactly(bytes);
        return bytes;
    }
}
