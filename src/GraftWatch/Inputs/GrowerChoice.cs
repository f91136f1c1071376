using GraftWatch.Records;
using GraftWatch.Rounds.Pipeline;
using GraftWatch.Rounds.Ports;
using GraftWatch.Serving;

namespace GraftWatch.Inputs;

/// <summary>Who a command is about, among the growers of graftwatch.toml and those of the store's book.</summary>
/// <param name="Grower">The grower; null when there is none such.</param>
/// <param name="Morning">Every grower, whether or not their letters are stopped, and every place.</param>
/// <param name="Fault">Why there is none; empty when there is one.</param>
internal sealed record GrowerChoice(Grower? Grower, MorningSettings Morning, string Fault)
{
    /// <summary>The one named, else the first.</summary>
    internal static async Task<GrowerChoice> OfAsync(SettingsInForce settings, RecordsStore store, string? name, CancellationToken cancellationToken)
    {
        InForce served = await new GrowersInForce(settings, store.Book, store.Stops).LoadAsync(cancellationToken).ConfigureAwait(false);
        MorningSettings morning = served.Morning with { Growers = served.Growers };
        Grower? grower = name is null ? (served.Growers is [var first, ..] ? first : null) : served.Find(name);
        return new GrowerChoice(grower, morning, grower is null ? FaultOf(settings.Current.Installation.File, served.Growers, name) : string.Empty);
    }

    private static string FaultOf(string file, IReadOnlyList<Grower> growers, string? name) => growers.Count == 0
        ? $"There are no growers yet{(name is null ? string.Empty : $", so none is named {name}")}. Name one in a [[grower]] table of {file}, or let one subscribe on the pages that graftwatch serve shows."
        : $"{file} and its store have no grower named {name}; there {(growers.Count == 1 ? "is" : "are")} {string.Join(", ", growers.Take(12).Select(each => each.Name))}{(growers.Count > 12 ? $" and {growers.Count - 12} more" : string.Empty)}.";
}
