using System.CommandLine;
using GraftWatch.Aftercare.Advising;
using GraftWatch.CommandLine;
using GraftWatch.Inputs;
using GraftWatch.Json;
using GraftWatch.Letters;
using NodaTime;

namespace GraftWatch.Commands;

/// <summary>Computes one round now.</summary>
internal static class RoundCommand
{
    internal static Command Build(Terminal terminal)
    {
        Option<string?> weather = SharedOptions.Weather();
        Option<string?> grafts = SharedOptions.Grafts();
        Option<LocalDate?> date = SharedOptions.Date("--date", "The local day; left out, today, or the first whole day of a saved reply that does not reach today.");
        Option<string?> grower = SharedOptions.Grower();
        Option<DateTimeZone?> zone = SharedOptions.Zone();
        Option<UnitSystem?> units = SharedOptions.Units();
        Option<string?> config = SharedOptions.Config();
        Option<string[]> planned = SharedOptions.Planned();
        Option<bool> json = SharedOptions.Json();
        var send = new Option<bool>("--send") { Description = "Also send the letter, once a grower and day, also beside a running serve; needs an installation. Ends with 0 when it is sent or was, 1 when not, 3 while another program has it in hand." };
        var command = new Command("round", "Compute one round: what to do today, where, by when and why.")
        {
            weather, grafts, date, grower, zone, units, planned, config, json, send,
        };
        command.SetAction((parsed, cancellationToken) => RunAsync(
            terminal,
            new RoundArguments(
                parsed.GetValue(weather), parsed.GetValue(grafts), parsed.GetValue(date), parsed.GetValue(grower), parsed.GetValue(zone),
                parsed.GetValue(units), parsed.GetValue(config), parsed.GetValue(json), parsed.GetValue(send))
            {
                Planned = parsed.GetValue(planned) ?? [],
            },
            cancellationToken));
        return command;
    }

    private static async Task<int> RunAsync(Terminal terminal, RoundArguments arguments, CancellationToken cancellationToken)
    {
        SendSetUp? sending = null;
        if (arguments.Send && (sending = SendOnce.SetUp(terminal, arguments, out IReadOnlyList<string> faults)) is null)
        {
            return terminal.Refuse(faults);
        }

        PreparedRound prepared = await PrepareAsync(terminal, arguments, cancellationToken).ConfigureAwait(false);
        foreach (string note in prepared.Notes)
        {
            await terminal.Messages.WriteLineAsync(note).ConfigureAwait(false);
        }

        if (prepared.Inputs is not { } inputs)
        {
            return terminal.Refuse(prepared.Faults);
        }

        Round round = RoundMaker.Make(inputs.Request);
        await terminal.Results.WriteLineAsync(arguments.Json ? RoundJson.Write(round) : RoundText.Render(round).TrimEnd()).ConfigureAwait(false);
        return sending is not null
            ? await SendOnce.SendAsync(terminal, round, inputs.Grower, sending, cancellationToken).ConfigureAwait(false)
            : ExitCode.Fine;
    }

    /// <summary>From two files alone, or from an installation.</summary>
    internal static async Task<PreparedRound> PrepareAsync(Terminal terminal, RoundArguments arguments, CancellationToken cancellationToken) =>
        arguments.Weather is not null && arguments.Grafts is not null
            ? FromFiles(terminal, arguments)
            : await InstalledRound.PrepareAsync(terminal, arguments, cancellationToken).ConfigureAwait(false);

    private static PreparedRound FromFiles(Terminal terminal, RoundArguments arguments)
    {
        var faults = new List<string>();
        ReadOnlyMemory<byte> weather = InputFile.Read(terminal, arguments.Weather!, faults);
        ReadOnlyMemory<byte> grafts = InputFile.Read(terminal, arguments.Grafts!, faults);
        string? config = InputFile.Folder(terminal, arguments.Config, faults);
        if (faults.Count > 0)
        {
            return PreparedRound.Refused(faults);
        }

        return SavedRound.Prepare(
            new SavedRoundOptions
            {
                Weather = weather,
                WeatherName = Path.GetFileName(arguments.Weather!),
                Grafts = grafts,
                GraftsName = arguments.Grafts!,
                ConfigFolder = config,
                Date = arguments.Date,
                Grower = arguments.Grower,
                Zone = arguments.Zone,
                Units = arguments.Units,
                WholeFile = arguments.WholeFile,
                Planned = arguments.Planned,
            },
            terminal.Now());
    }
}
