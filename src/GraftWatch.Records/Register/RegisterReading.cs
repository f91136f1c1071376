using System.Globalization;
using GraftWatch.Aftercare.Grafts;

namespace GraftWatch.Records.Register;

/// <summary>What came of reading a register: every graft, or every fault. Never half of it.</summary>
/// <param name="Grafts">In file order; empty when there are faults.</param>
/// <param name="Faults">In file order; empty when the grafts are there.</param>
public sealed record RegisterReading(IReadOnlyList<Graft> Grafts, IReadOnlyList<RegisterFault> Faults)
{
    /// <summary>Whether the register is right.</summary>
    public bool IsValid => Faults.Count == 0;
}

/// <summary>One thing wrong in a register.</summary>
/// <param name="File">File name as it was given.</param>
/// <param name="Line">From 1; 0 when the fault is of the whole file.</param>
/// <param name="Column">Name of the column, or empty.</param>
/// <param name="Problem">What is wrong: one sentence.</param>
/// <param name="Expected">What would be right: one sentence, or empty.</param>
public sealed record RegisterFault(string File, int Line, string Column, string Problem, string Expected)
{
    /// <summary>The fault as one line for a terminal.</summary>
    public override string ToString()
    {
        string at = Line > 0 ? string.Create(CultureInfo.InvariantCulture, $"{File}:{Line}: ") : $"{File}: ";
        return at + (Column.Length > 0 ? Column + ": " : string.Empty) + Problem + (Expected.Length > 0 ? " " + Expected : string.Empty);
    }
}

/// <summary>What a register is read against.</summary>
public sealed record RegisterContext
{
    /// <summary>File name for faults.</summary>
    public string File { get; init; } = "register.csv";

    /// <summary>
    /// Known places; a place that is not among them is a fault, and an empty cell means the only one there is.
    /// Empty when places are not known: any name is taken, and an empty cell means <see cref="DefaultPlace"/>.
    /// </summary>
    public IReadOnlyList<Place> Places { get; init; } = [];

    /// <summary>Place of grafts that name none, where <see cref="Places"/> is empty.</summary>
    public string DefaultPlace { get; init; } = string.Empty;

    /// <summary>Latitude by place name where <see cref="Places"/> does not have it: decides the aspect of an empty cell. [°]</summary>
    public IReadOnlyDictionary<string, double> LatitudesDeg { get; init; } = new Dictionary<string, double>();
}
