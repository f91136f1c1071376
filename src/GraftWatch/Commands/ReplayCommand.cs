using System.CommandLine;
using GraftWatch.Aftercare.Trade;
using GraftWatch.CommandLine;
using GraftWatch.Inputs;
using GraftWatch.Replaying;
using GraftWatch.Rounds.Replaying;
using GraftWatch.Settings;
using NodaTime;

namespace GraftWatch.Commands;

/// <summary>Runs the rules over past weather: which letters would have gone out.</summary>
internal static class ReplayCommand
{
    internal static Command Build(Terminal terminal)
    {
        Option<LocalDate?> from = SharedOptions.Date("--from", "First local day.");
        Option<LocalDate?> to = SharedOptions.Date("--to", "Last local day.");
        from.Required = true;
        to.Required = true;
        Option<string?> weather = SharedOptions.Weather();
        weather.Description = "A saved reply of the open forecast or archive API, as it came; the word archive fetches the hours from the archive.";
        weather.HelpName = "FILE|archive";
        Option<string?> grafts = SharedOptions.Grafts();
        Option<string?> config = SharedOptions.Config();
        Option<string?> grower = SharedOptions.Grower();
        Option<DateTimeZone?> zone = SharedOptions.Zone();
        var thresholds = new Option<string?>("--thresholds") { Description = "A thresholds file in place of that of the settings.", HelpName = "FILE.toml" };
        var against = new Option<string?>("--against") { Description = "A second thresholds file: both seasons side by side.", HelpName = "FILE.toml" };
        var idle = new Option<bool>("--idle") { Description = "Assume that no work is done; without it, act and urgent work is done the day it is advised." };
        var recorded = new Option<bool>("--recorded") { Description = "Assume only the work that was recorded in the store." };
        Option<bool> json = SharedOptions.Json();
        json.Description = "Print JSON, every line of every day.";
        var csv = new Option<bool>("--csv") { Description = "Print CSV: a row for each line of each letter, and for each day and level that the unions felt." };
        var picture = new Option<string?>("--picture") { Description = "Also draw the days into this file: a picture, or a page with its counts that any browser shows.", HelpName = "FILE.svg|html" };
        var command = new Command("replay", "Run the daily round over past weather: which letters would have gone out, what the unions would have felt; two thresholds files side by side.")
        {
            from, to, weather, grafts, config, grower, zone, thresholds, against, idle, recorded, json, csv, picture,
        };
        command.SetAction((parsed, cancellationToken) => RunAsync(
            terminal,
            new ReplayArguments(
                new RoundArguments(parsed.GetValue(weather), parsed.GetValue(grafts), parsed.GetValue(to), parsed.GetValue(grower), parsed.GetValue(zone), null, parsed.GetValue(config), parsed.GetValue(json)) { WholeFile = true },
                parsed.GetValue(from)!.Value,
                parsed.GetValue(to)!.Value,
                parsed.GetValue(thresholds),
                parsed.GetValue(against),
                parsed.GetValue(recorded) ? SeasonWork.AsRecorded : parsed.GetValue(idle) ? SeasonWork.Idle : SeasonWork.AsAdvised,
                parsed.GetValue(csv),
                parsed.GetValue(picture)),
            cancellationToken));
        return command;
    }

    private static async Task<int> RunAsync(Terminal terminal, ReplayArguments arguments, CancellationToken cancellationToken)
    {
        if (arguments.Picture is { } named && !IsPage(named) && !named.EndsWith(".svg", StringComparison.OrdinalIgnoreCase))
        {
            return terminal.Refuse([$"--picture: {named} is neither .svg nor .html."]);
        }

        if (arguments.From > arguments.To)
        {
            return terminal.Refuse(["--from lies after --to."]);
        }

        if (arguments.Round.Weather is null)
        {
            return terminal.Refuse(["Give past weather: --weather FILE, a saved reply of the open forecast or archive API, or --weather archive to fetch it."]);
        }

        PreparedRound prepared = arguments.Round.Weather == ArchivedSeason.Word
            ? await ArchivedSeason.PrepareAsync(terminal, arguments, cancellationToken).ConfigureAwait(false)
            : await RoundCommand.PrepareAsync(terminal, arguments.Round, cancellationToken).ConfigureAwait(false);
        foreach (string note in prepared.Notes)
        {
            await terminal.Messages.WriteLineAsync(note).ConfigureAwait(false);
        }

        if (prepared.Inputs is not { } inputs)
        {
            return terminal.Refuse(prepared.Faults);
        }

        var faults = new List<string>();
        if (inputs.Request.Places.Select(place => place.Weather).OfType<Microclimate.Weather.HourlyWeather>().FirstOrDefault() is { } hours
            && hours.FirstHourEnd > inputs.Grower.Zone.AtStartOfDay(arguments.From.PlusDays(1)).ToInstant())
        {
            faults.Add($"--from {arguments.From:R} lies before the weather, which begins {hours.FirstHourEnd.InZone(inputs.Grower.Zone).Date:R}.");
        }

        Handbook first = LoadHandbook(terminal, arguments, arguments.Thresholds, faults) ?? inputs.Request.Handbook;
        Handbook? second = arguments.Against is { } file ? LoadHandbook(terminal, arguments, file, faults) : null;
        if (faults.Count > 0)
        {
            return terminal.Refuse(faults);
        }

        var season = new SeasonRequest
        {
            From = arguments.From,
            To = arguments.To,
            Zone = inputs.Grower.Zone,
            LetterTime = inputs.Grower.LetterTime,
            Grower = inputs.Grower.Name,
            Units = inputs.Grower.Units,
            Places = inputs.Request.Places,
            Grafts = inputs.Request.Grafts,
            Observations = arguments.Work == SeasonWork.AsRecorded ? inputs.Request.Observations : [],
            Handbook = first,
            Work = arguments.Work,
        };
        return await ShowAsync(terminal, arguments, season, second, cancellationToken).ConfigureAwait(false);
    }

    private static async Task<int> ShowAsync(Terminal terminal, ReplayArguments arguments, SeasonRequest season, Handbook? second, CancellationToken cancellationToken)
    {
        // The two seasons do not touch each other, so each has a core of its own.
        Task<SeasonResult> other = second is null
            ? Task.FromResult(new SeasonResult([]))
            : Task.Run(() => Season.Run(season with { Handbook = second, FeltLevels = season.Handbook.Thresholds }, null, cancellationToken), cancellationToken);
        SeasonResult result;
        using (ProgressLine progress = ProgressLine.On(terminal, Period.DaysBetween(season.From, season.To) + 1))
        {
            result = Season.Run(season, progress, cancellationToken);
        }

        SeasonResult compared = await other.ConfigureAwait(false);
        string firstName = arguments.Thresholds ?? "thresholds in force";
        (string Name, SeasonResult Season)[] seasons = second is null ? [(firstName, result)] : [("A: " + firstName, result), ("B: " + arguments.Against!, compared)];
        if (arguments.Picture is { } picture)
        {
            string path = terminal.PathOf(picture);
            string drawn = IsPage(picture) ? SeasonPicture.Html(seasons) : SeasonPicture.Svg(seasons);
            await File.WriteAllTextAsync(path, drawn, cancellationToken).ConfigureAwait(false);
            await terminal.Messages.WriteLineAsync($"The picture is in {path}.").ConfigureAwait(false);
        }

        string text = arguments.Round.Json ? SeasonJson.Write(second is null ? [(firstName, result)] : [(firstName, result), (arguments.Against!, compared)]) + "\n"
            : arguments.Csv ? SeasonText.Csv(second is null ? [result] : [result, compared])
            : second is null ? SeasonText.Of(result)
            : SeasonComparison.Of(result, compared, firstName, arguments.Against!);
        await terminal.Results.WriteAsync(text.AsMemory(), cancellationToken).ConfigureAwait(false);
        await terminal.Messages.WriteLineAsync("Forecast hours are the ones that came: a real forecast would have been less right.").ConfigureAwait(false);
        return ExitCode.Fine;
    }

    private static bool IsPage(string picture) => Path.GetExtension(picture).ToUpperInvariant() is ".HTML" or ".HTM";

    private static Handbook? LoadHandbook(Terminal terminal, ReplayArguments arguments, string? thresholds, List<string> faults)
    {
        if (thresholds is null)
        {
            return null;
        }

        string? folder = arguments.Round.Config is { } config ? terminal.PathOf(config) : null;
        Loaded<Handbook> loaded = SettingsLoader.LoadHandbook(folder, terminal.PathOf(thresholds));
        faults.AddRange(loaded.Faults.Select(fault => fault.ToString()));
        return loaded.Value;
    }
}

/// <summary>What the user wrote behind <c>replay</c>.</summary>
internal sealed record ReplayArguments(
    RoundArguments Round, LocalDate From, LocalDate To, string? Thresholds, string? Against, SeasonWork Work, bool Csv, string? Picture);
