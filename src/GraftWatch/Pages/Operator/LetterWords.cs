using GraftWatch.Pages.Language;
using GraftWatch.Pages.Routing;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Pages.Operator;

/// <summary>How far a letter has come, in a sentence.</summary>
internal static class LetterWords
{
    /// <summary>Which letter it is.</summary>
    internal static string Kind(PageContext page, LetterSlot slot) => page.Say("operator.kind-" + slot.Kind switch
    {
        LetterKind.Morning => "morning",
        LetterKind.Urgent => "urgent",
        LetterKind.Operator => "operator",
        _ => throw new System.Diagnostics.UnreachableException(),
    });

    /// <summary>By which way it goes.</summary>
    internal static string Channel(PageContext page, string channel) =>
        channel == LetterSlot.Mail ? page.Say("operator.by-mail") : LetterSlot.IsOwn(channel, out string name) ? page.Say("operator.by-own", name) : channel;

    /// <summary>How far it has come.</summary>
    internal static string State(PageContext page, Days days, ShelvedLetter letter) => letter switch
    {
        { Entry: { State: LetterState.Accepted, LastTryAt: { } at } } => page.Say("operator.handed-over", days.At(at)),
        { Entry.State: LetterState.Accepted } => page.Say("operator.handed-over", Figures.Unknown),
        { Entry.State: LetterState.GivenUp, Why: DeliveryReason.TooLate } => page.Say("operator.too-late"),
        { Entry.State: LetterState.GivenUp, Why: DeliveryReason.Stopped } => page.Say("operator.was-stopped"),
        { Entry.State: LetterState.GivenUp } => page.Say("operator.given-up", Why(page, letter.Why)),
        { Entry.Tries: 0 } => page.Say("operator.sealed"),
        { NextTryAt: { } next } when next > page.Now => page.Say("operator.waits-until", Why(page, letter.Why), days.Hour(next)),
        _ => page.Say("operator.waits", Why(page, letter.Why)),
    };

    /// <summary>Why it was not taken.</summary>
    internal static string Why(PageContext page, DeliveryReason? reason) => page.Say("operator.why-" + reason switch
    {
        DeliveryReason.Connection => "connection",
        DeliveryReason.ServerBusy => "busy",
        DeliveryReason.BadRecipient => "recipient",
        DeliveryReason.Refused => "refused",
        DeliveryReason.SignIn => "sign-in",
        DeliveryReason.Security => "security",
        DeliveryReason.NotSetUp => "not-set-up",
        DeliveryReason.TooLate => "too-late",
        DeliveryReason.Stopped => "stopped",
        DeliveryReason.None or null => "unknown",
        _ => throw new System.Diagnostics.UnreachableException(),
    });

    /// <summary>What became of one try.</summary>
    internal static string Outcome(PageContext page, DeliveryResult result) => result.Outcome switch
    {
        DeliveryOutcome.Accepted => page.Say("operator.try-taken"),
        DeliveryOutcome.TryLater => page.Say("operator.try-later", Why(page, result.Reason)),
        DeliveryOutcome.GiveUp => page.Say("operator.try-given-up", Why(page, result.Reason)),
        DeliveryOutcome.Unknown => page.Say("operator.try-doubt"),
        _ => throw new System.Diagnostics.UnreachableException(),
    };
}
