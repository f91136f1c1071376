using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Schedules;

namespace GraftWatch.Rounds.Pipeline;

/// <summary>What a morning is run with: one consistent reading of the settings.</summary>
/// <param name="Handbook">Species, materials and thresholds.</param>
/// <param name="Places">Places by the name the register uses.</param>
/// <param name="Growers">Who gets letters.</param>
/// <param name="Policy">How the morning is kept.</param>
public sealed record MorningSettings(
    Handbook Handbook,
    IReadOnlyDictionary<string, Place> Places,
    IReadOnlyList<Grower> Growers,
    MorningPolicy Policy)
{
    /// <summary>What growers must be told of the settings, such as that an edit was refused; a sentence, or empty.</summary>
    public string Notice { get; init; } = string.Empty;
}
