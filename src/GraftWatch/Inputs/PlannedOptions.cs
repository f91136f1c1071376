using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Settings.Installation;
using GraftWatch.Settings.Keys;

namespace GraftWatch.Inputs;

/// <summary>Graftings planned on the command line.</summary>
internal static class PlannedOptions
{
    /// <summary>Reads them against the handbook and the places; a plan that means nothing is added to the faults.</summary>
    internal static IReadOnlyList<PlannedGrafting> Read(IReadOnlyList<string> written, Handbook handbook, IReadOnlyList<string> places, List<string> faults)
    {
        IReadOnlyDictionary<string, string> species = SpeciesWords.Of(handbook.Species.Values);
        var plans = new List<PlannedGrafting>();
        foreach (string text in written)
        {
            WordReading<PlannedGrafting> reading = PlannedWords.Read(text, species, places);
            if (reading.Value is { } plan)
            {
                plans.Add(plan);
            }
            else
            {
                faults.Add($"--planned: {reading.Problem} {reading.Expected}".TrimEnd());
            }
        }

        return plans;
    }
}
