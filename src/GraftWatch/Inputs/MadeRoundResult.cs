using GraftWatch.Aftercare.Advising;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Inputs;

/// <summary>A round that was made, or why not.</summary>
/// <param name="Round">The round; null when there are faults.</param>
/// <param name="Grower">Whose; null when there are faults.</param>
/// <param name="Notes">What was taken for granted, for standard error.</param>
/// <param name="Faults">Every fault.</param>
internal sealed record MadeRoundResult(Round? Round, Grower? Grower, IReadOnlyList<string> Notes, IReadOnlyList<string> Faults)
{
    internal static MadeRoundResult Refused(IReadOnlyList<string> faults, IReadOnlyList<string>? notes = null) => new(null, null, notes ?? [], faults);
}
