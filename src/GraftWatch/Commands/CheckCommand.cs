using System.CommandLine;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Checks;
using GraftWatch.CommandLine;
using GraftWatch.Inputs;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Settings;
using GraftWatch.Settings.Effective;
using NodaTime;

namespace GraftWatch.Commands;

/// <summary>Checks an installation before a morning depends on it.</summary>
internal static class CheckCommand
{
    internal static Command Build(Terminal terminal)
    {
        Option<string?> config = SharedOptions.Config();
        var only = new Option<string[]>("--only") { Description = "Run only this check; may be repeated: " + string.Join(", ", InstallationCheck.Subjects) + ".", HelpName = "NAME" };
        only.AcceptOnlyFromAmong([.. InstallationCheck.Subjects]);
        var send = new Option<string?>("--send") { Description = "Also send a letter to yourself: to ADDRESS, else to the operator, else to the first grower.", HelpName = "ADDRESS", Arity = ArgumentArity.ZeroOrOne };
        var json = new Option<bool>("--json") { Description = "Print JSON (docs/check.schema.json) instead of text." };
        var effective = new Option<bool>("--effective") { Description = "Instead: print every threshold in force, and the file and line it comes from." };
        var graft = new Option<string?>("--graft") { Description = "With --effective: the values for one graft of the register, at the stage its healing clock gives today.", HelpName = "ID" };
        Option<string?> grower = SharedOptions.Grower();
        var command = new Command("check", "Check the installation: settings, store, registers, mail, channels, weather, clock, pages and service, one line each, with how to mend.") { config, only, send, json, effective, graft, grower };
        command.SetAction((parsed, cancellationToken) => parsed.GetValue(effective)
            ? EffectiveAsync(terminal, parsed.GetValue(config), parsed.GetValue(graft), parsed.GetValue(grower), cancellationToken)
            : RunAsync(
                terminal,
                new CheckWishes(parsed.GetValue(config), parsed.GetValue(only) ?? [], parsed.GetResult(send) is null ? null : parsed.GetValue(send) ?? string.Empty, parsed.GetValue(json)),
                new CheckSurroundings(),
                cancellationToken));
        return command;
    }

    /// <summary>Checks, prints each line as it is known, or all of them as one document.</summary>
    internal static async Task<int> RunAsync(Terminal terminal, CheckWishes wishes, CheckSurroundings surroundings, CancellationToken cancellationToken)
    {
        var faults = new List<string>();
        string? folder = InputFile.Folder(terminal, wishes.Config ?? Installation.UsualFolder, faults);
        if (faults.Count > 0)
        {
            return terminal.Refuse(faults);
        }

        var scope = new CheckScope(terminal, folder!, surroundings) { SendTo = wishes.SendTo };
        var lines = new List<CheckLine>();
        await foreach (CheckLine line in InstallationCheck.RunAsync(scope, wishes.Only, cancellationToken).ConfigureAwait(false))
        {
            lines.Add(line);
            if (!wishes.Json)
            {
                await terminal.Results.WriteLineAsync(line.ToString()).ConfigureAwait(false);
            }
        }

        if (wishes.Json)
        {
            await terminal.Results.WriteLineAsync(CheckReport.Json(lines, terminal.Now())).ConfigureAwait(false);
        }

        return CheckReport.ExitCodeOf(CheckReport.Worst(lines));
    }

    private static async Task<int> EffectiveAsync(Terminal terminal, string? config, string? label, string? grower, CancellationToken cancellationToken)
    {
        if (label is null)
        {
            string? folder = config is null && !Directory.Exists(terminal.PathOf(Installation.UsualFolder)) ? null : terminal.PathOf(config ?? Installation.UsualFolder);
            Loaded<Handbook> handbook = SettingsLoader.LoadHandbook(folder);
            if (!handbook.IsValid)
            {
                return terminal.Refuse(handbook.Faults.Select(fault => fault.ToString()));
            }

            await terminal.Results.WriteAsync(EffectiveSettings.ToText(EffectiveSettings.All(handbook.Value.Thresholds))).ConfigureAwait(false);
            return ExitCode.Fine;
        }

        OpenInstallation? open = await OpenInstallation.OpenAsync(terminal, config, grower, cancellationToken).ConfigureAwait(false);
        if (open is null)
        {
            return ExitCode.BadInput;
        }

        await using (open.ConfigureAwait(false))
        {
            var register = new RegisterOfInstallation(open.Store.Register, () => open.Settings, terminal.Clock);
            Graft[] grafts = [.. await register.LoadGraftsAsync(open.Grower.Name, cancellationToken).ConfigureAwait(false)];
            if (Array.Find(grafts, candidate => candidate.Label == label) is not { } graft)
            {
                return terminal.Refuse([$"There is no graft labelled {label} in the register of {open.Grower.Name}."]);
            }

            Stage stage = await StageAsync(open, register, graft, terminal.Now(), cancellationToken).ConfigureAwait(false);
            var subject = new Subject(graft.Species, graft.Technique, stage, graft.Cover, graft.Tie, graft.Place);
            await terminal.Messages.WriteLineAsync($"{label}: {graft.Species}, {TradeNames.Key(graft.Technique)}, stage {TradeNames.Key(stage)}, cover {graft.Cover}, tie {graft.Tie}, {graft.Place}").ConfigureAwait(false);
            await terminal.Results.WriteAsync(EffectiveSettings.ToText(EffectiveSettings.For(open.Settings.Morning.Handbook.Thresholds, subject))).ConfigureAwait(false);
            return ExitCode.Fine;
        }
    }

    // From the hours the store keeps; without any the clock runs at its mean rate, which is good enough to name a stage.
    private static async Task<Stage> StageAsync(OpenInstallation open, RegisterOfInstallation register, Graft graft, Instant now, CancellationToken cancellationToken)
    {
        if (!open.Settings.Morning.Places.TryGetValue(graft.Place, out Place? place)
            || await open.Store.History.LoadAsync(graft.Place, now - Duration.FromDays(400), cancellationToken).ConfigureAwait(false) is not { } kept)
        {
            return Stage.Set;
        }

        HourlyWeather hours = kept.Weather;
        var info = new ForecastInfo(kept.Source, kept.Credit, kept.IssuedAt, hours.FirstHourEnd, hours.LastHourEnd, []);
        Round round = RoundMaker.Make(new RoundRequest
        {
            Date = now.InZone(place.Zone).Date,
            Now = now,
            Grower = open.Grower.Name,
            Places = [new PlaceWeather(place, hours, info)],
            Grafts = [graft],
            Handbook = open.Settings.Morning.Handbook,
            Observations = await register.LoadObservationsAsync(open.Grower.Name, cancellationToken).ConfigureAwait(false),
        });
        return round.Stages.Count > 0 ? round.Stages[0].Stage : Stage.Set;
    }
}

/// <summary>What is asked of <c>check</c>.</summary>
/// <param name="Config">Folder of the settings; null for the usual one.</param>
/// <param name="Only">Checks to run; none for all.</param>
/// <param name="SendTo">Where a letter goes as a proof: null for nowhere, empty for the operator.</param>
/// <param name="Json">Whether a document is wanted.</param>
internal sealed record CheckWishes(string? Config = null, IReadOnlyCollection<string>? Only = null, string? SendTo = null, bool Json = false)
{
    /// <summary>Checks to run; none for all.</summary>
    public IReadOnlyCollection<string> Only { get; init; } = Only ?? [];
}
