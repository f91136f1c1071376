using GraftWatch.Aftercare.Advising;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Inputs;

/// <summary>What came of preparing a round: all that it needs, or every fault.</summary>
/// <param name="Inputs">The inputs; null when there are faults.</param>
/// <param name="Notes">What was taken for granted, for standard error.</param>
/// <param name="Faults">Every fault.</param>
internal sealed record PreparedRound(RoundInputs? Inputs, IReadOnlyList<string> Notes, IReadOnlyList<string> Faults)
{
    internal static PreparedRound Refused(IReadOnlyList<string> faults, IReadOnlyList<string>? notes = null) => new(null, notes ?? [], faults);
}

/// <summary>A round that can be made, and to whom it goes.</summary>
internal sealed record RoundInputs(RoundRequest Request, Grower Grower);
