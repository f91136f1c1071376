using System.CommandLine;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Trade;
using GraftWatch.CommandLine;
using GraftWatch.Inputs;
using GraftWatch.Records.Observations;
using GraftWatch.Rounds.Ports;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Commands;

/// <summary>Notes what a grower saw or did at a graft; the healing clock and the next letter follow it.</summary>
internal static class ObserveCommand
{
    internal static Command Build(Terminal terminal)
    {
        var label = new Argument<string?>("LABEL") { Description = "Label of the graft.", Arity = ArgumentArity.ZeroOrOne };
        var words = new Argument<string[]>("WORDS") { Description = "What was seen or done: " + string.Join(", ", [.. ObservationWords.Examples, .. WorkWords.Examples]) + ".", Arity = ArgumentArity.ZeroOrMore };
        Option<LocalDate?> on = SharedOptions.Date("--on", "The local day it was seen or done, at noon; left out, now.");
        var undo = new Option<long?>("--undo") { Description = "Take a note back, within 30 days.", HelpName = "NOTE" };
        var undoAnswer = new Option<long?>("--undo-answer") { Description = "Take an answer back, within 30 days.", HelpName = "ANSWER" };
        var list = new Option<bool>("--list") { Description = "List the notes." };
        Option<string?> grower = SharedOptions.Grower();
        Option<string?> config = SharedOptions.Config();
        var command = new Command("observe", "Note what you saw or did at a graft, such as: observe B3-07 \"green tip\".") { label, words, on, undo, undoAnswer, list, grower, config };
        command.SetAction(async (parsed, cancellationToken) =>
        {
            OpenInstallation? open = await OpenInstallation.OpenAsync(terminal, parsed.GetValue(config), parsed.GetValue(grower), cancellationToken).ConfigureAwait(false);
            if (open is null)
            {
                return ExitCode.BadInput;
            }

            await using (open.ConfigureAwait(false))
            {
                string? graft = parsed.GetValue(label);
                return parsed.GetValue(list) ? await ListAsync(terminal, open, graft, cancellationToken).ConfigureAwait(false)
                    : parsed.GetValue(undoAnswer) is { } answer ? await UndoAnswerAsync(terminal, open, answer, cancellationToken).ConfigureAwait(false)
                    : parsed.GetValue(undo) is { } note ? await UndoAsync(terminal, open, note, cancellationToken).ConfigureAwait(false)
                    : await NoteAsync(terminal, open, graft, string.Join(' ', parsed.GetValue(words) ?? []), parsed.GetValue(on), cancellationToken).ConfigureAwait(false);
            }
        });
        return command;
    }

    private static async Task<int> NoteAsync(Terminal terminal, OpenInstallation open, string? label, string words, LocalDate? on, CancellationToken cancellationToken)
    {
        if (label is null)
        {
            return terminal.Refuse(["Name the graft and say what you saw or did, such as: observe B3-07 \"green tip\"."]);
        }

        if (ObservationWords.Parse(words) is ObservationReading.Understood || WorkWords.Find(words) is not null)
        {
            await TakeOverFileAsync(terminal, open, cancellationToken).ConfigureAwait(false);
        }

        NotingOutcome outcome = await Noting.NoteAsync(
            open.Store, open.Settings.Morning.Handbook, open.Grower, label, words, on, terminal.Now(), cancellationToken).ConfigureAwait(false);
        switch (outcome)
        {
            case NotingOutcome.Noted { Note: var note, Closed: var closed }:
                string closes = closed.Count == 0 ? string.Empty : $" It closes: {string.Join(", ", closed.Select(work => work.Key()))}.";
                await terminal.Results.WriteLineAsync($"Note {note}: {label}, {words}.{closes} Take it back with: observe --undo {note}").ConfigureAwait(false);
                return ExitCode.Fine;
            case NotingOutcome.Answered { Answer: var answer }:
                await terminal.Results.WriteLineAsync($"Answer {answer}: {label}, {words}. Take it back with: observe --undo-answer {answer}").ConfigureAwait(false);
                return ExitCode.Fine;
            case NotingOutcome.Refused { Why: var why }:
                return terminal.Refuse([why]);
            default:
                return terminal.Refuse([await UnknownAsync(open, label, cancellationToken).ConfigureAwait(false)]);
        }
    }

    private static async Task<string> UnknownAsync(OpenInstallation open, string label, CancellationToken cancellationToken)
    {
        IReadOnlyList<Graft> grafts = await open.Store.Register.LoadGraftsAsync(open.Grower.Name, cancellationToken).ConfigureAwait(false);
        string near = NearestName.Of(label, grafts.Select(graft => graft.Label)) is { } name ? $" Nearest: {name}." : string.Empty;
        return $"{open.Grower.Name} has no graft labelled {label}.{near}";
    }

    // Notes hang on grafts of the store; a register kept as a file is taken over first, so that its labels are known there.
    private static async Task TakeOverFileAsync(Terminal terminal, OpenInstallation open, CancellationToken cancellationToken)
    {
        if (open.RegisterPath is null)
        {
            return;
        }

        var register = new RegisterOfInstallation(open.Store.Register, () => open.Settings, terminal.Clock);
        IReadOnlyList<Graft> grafts = await register.LoadGraftsAsync(open.Grower.Name, cancellationToken).ConfigureAwait(false);
        await open.Store.Keeper.ImportGraftsAsync(open.Grower.Name, grafts, cancellationToken).ConfigureAwait(false);
    }

    private static async Task<int> UndoAsync(Terminal terminal, OpenInstallation open, long note, CancellationToken cancellationToken) =>
        await SayAsync(terminal, open, "Note", note, await Noting.UndoAsync(open.Store, open.Grower, note, terminal.Now(), cancellationToken).ConfigureAwait(false)).ConfigureAwait(false);

    private static async Task<int> UndoAnswerAsync(Terminal terminal, OpenInstallation open, long answer, CancellationToken cancellationToken) =>
        await SayAsync(terminal, open, "Answer", answer, await open.Store.Answers.UndoAsync(open.Grower.Name, answer, terminal.Now(), cancellationToken).ConfigureAwait(false)).ConfigureAwait(false);

    private static async Task<int> SayAsync(Terminal terminal, OpenInstallation open, string what, long note, UndoOutcome outcome)
    {
        switch (outcome)
        {
            case UndoOutcome.Undone:
                await terminal.Results.WriteLineAsync($"{what} {note} no longer counts.").ConfigureAwait(false);
                return ExitCode.Fine;
            case UndoOutcome.AlreadyUndone:
                await terminal.Results.WriteLineAsync($"{what} {note} had been taken back before.").ConfigureAwait(false);
                return ExitCode.Fine;
            case UndoOutcome.TooLate:
                return terminal.Refuse([$"{what} {note} is older than {UndoWindow.Days} days and stands."]);
            case UndoOutcome.NotFound:
                return terminal.Refuse([$"{open.Grower.Name} has no {what.ToLowerInvariant()} {note}."]);
            default:
                throw new System.Diagnostics.UnreachableException();
        }
    }

    private static async Task<int> ListAsync(Terminal terminal, OpenInstallation open, string? label, CancellationToken cancellationToken)
    {
        var when = ZonedDateTimePattern.CreateWithInvariantCulture("uuuu-MM-dd HH:mm", null);
        foreach (NotedObservation noted in await open.Store.Keeper.LoadNotesAsync(open.Grower.Name, cancellationToken).ConfigureAwait(false))
        {
            if (label is null || noted.Observation.Label == label)
            {
                string undone = noted.UndoneAt is null ? string.Empty : "  (taken back)";
                await terminal.Results.WriteLineAsync($"{noted.Note,5}  {when.Format(noted.Observation.At.InZone(open.Grower.Zone))}  {noted.Observation.Label,-10} {noted.Words}{undone}").ConfigureAwait(false);
            }
        }

        return ExitCode.Fine;
    }
}
