using System.CommandLine;
using System.Text;
using GraftWatch.Aftercare.Explaining;
using GraftWatch.CommandLine;
using GraftWatch.Explaining;
using GraftWatch.Inputs;
using NodaTime;

namespace GraftWatch.Commands;

/// <summary>Shows what one union feels, hour by hour, or why a round says what it says of it.</summary>
internal static class ExplainCommand
{
    internal static Command Build(Terminal terminal)
    {
        var options = new ExplainOptions();
        var command = new Command("explain", "Show one graft hour by hour: sun, bark and cambium, drying, frost, sap, wind, healing. Or, with --round, why a round says what it says of it.");
        foreach (Option option in options.All)
        {
            command.Add(option);
        }

        command.SetAction((parsed, cancellationToken) => RunAsync(terminal, options, parsed, cancellationToken));
        return command;
    }

    private static async Task<int> RunAsync(Terminal terminal, ExplainOptions options, ParseResult parsed, CancellationToken cancellationToken)
    {
        DescribedGraft described = options.DescribedGraft(parsed);
        string? label = parsed.GetValue(options.Graft);
        if (label is null == !described.IsGiven)
        {
            return terminal.Refuse(["Give either --graft ID, with a register, or describe a graft: --species, --technique, --made, --aspect and the others."]);
        }

        PreparedRound prepared = await PrepareAsync(terminal, options, parsed, label is null ? described : null, cancellationToken).ConfigureAwait(false);
        foreach (string note in prepared.Notes)
        {
            await terminal.Messages.WriteLineAsync(note).ConfigureAwait(false);
        }

        if (prepared.Inputs is not { } inputs)
        {
            return terminal.Refuse(prepared.Faults);
        }

        label ??= Explaining.DescribedGraft.LabelOf(inputs.Request);
        if (parsed.GetValue(options.Round) is not null)
        {
            return Why(terminal, inputs, label, parsed.GetValue(options.Format) == "json");
        }

        if (GraftHours.Of(inputs.Request, label, out string fault) is not { } hours)
        {
            return terminal.Refuse([fault]);
        }

        return await ShowAsync(terminal, options, parsed, new ExplainedGraft(hours, inputs.Request, 0, hours.Hours - 1), cancellationToken).ConfigureAwait(false);
    }

    private static async Task<int> ShowAsync(Terminal terminal, ExplainOptions options, ParseResult parsed, ExplainedGraft graft, CancellationToken cancellationToken)
    {
        LocalDate? from = parsed.GetValue(options.From);
        LocalDate? to = parsed.GetValue(options.To);
        string format = parsed.GetValue(options.Format)!;
        if (format == "table" && from is null && to is null)
        {
            // Ten days of hours are not read; the day of the round, the one before and two after are.
            (from, to) = (graft.Request.Date.PlusDays(-1), graft.Request.Date.PlusDays(2));
        }

        graft = graft.Between(from, to);
        if (graft.First > graft.Last)
        {
            return terminal.Refuse(["--from, --to: there is no hour between these days."]);
        }

        if (parsed.GetValue(options.Picture) is { } picture)
        {
            string path = terminal.PathOf(picture);
            await File.WriteAllTextAsync(path, ExplainPicture.Svg(graft), cancellationToken).ConfigureAwait(false);
            await terminal.Messages.WriteLineAsync($"The picture is in {path}.").ConfigureAwait(false);
        }

        switch (format)
        {
            case "csv":
                ExplainCsv.Write(graft, terminal.Results);
                break;
            case "json":
                await terminal.Results.WriteLineAsync(Encoding.UTF8.GetString(ExplainCsv.Json(graft))).ConfigureAwait(false);
                break;
            default:
                await terminal.Results.WriteAsync(ExplainTable.Of(graft)).ConfigureAwait(false);
                break;
        }

        return ExitCode.Fine;
    }

    private static int Why(Terminal terminal, RoundInputs inputs, string label, bool json)
    {
        if (GraftReasons.Of(inputs.Request, label, out string fault) is not { } reasons)
        {
            return terminal.Refuse([fault]);
        }

        terminal.Results.Write(json ? ReasonsText.Json(reasons, inputs.Request) + "\n" : ReasonsText.Of(reasons, inputs.Request));
        return ExitCode.Fine;
    }

    private static async Task<PreparedRound> PrepareAsync(
        Terminal terminal, ExplainOptions options, ParseResult parsed, DescribedGraft? described, CancellationToken cancellationToken)
    {
        LocalDate? round = parsed.GetValue(options.Round);
        var arguments = new RoundArguments(
            parsed.GetValue(options.Weather), parsed.GetValue(options.Grafts), round ?? parsed.GetValue(options.Date), parsed.GetValue(options.Grower),
            parsed.GetValue(options.Zone), null, parsed.GetValue(options.Config))
        {
            WholeFile = round is null,
        };
        if (described is null)
        {
            return await RoundCommand.PrepareAsync(terminal, arguments, cancellationToken).ConfigureAwait(false);
        }

        var faults = new List<string>();
        string? config = InputFile.Folder(terminal, arguments.Config, faults);
        ReadOnlyMemory<byte> weather = arguments.Weather is { } file ? InputFile.Read(terminal, file, faults) : default;
        if (faults.Count > 0)
        {
            return PreparedRound.Refused(faults);
        }

        return arguments.Weather is null
            ? await FetchedGraft.PrepareAsync(terminal, described, config, cancellationToken).ConfigureAwait(false)
            : SavedRound.Prepare(
                new SavedRoundOptions
                {
                    Weather = weather,
                    WeatherName = Path.GetFileName(arguments.Weather),
                    Grafts = described.Csv(),
                    GraftsName = "command line",
                    ConfigFolder = config,
                    Date = arguments.Date,
                    Zone = arguments.Zone,
                    Described = described,
                    WholeFile = arguments.WholeFile,
                },
                terminal.Now());
    }
}
