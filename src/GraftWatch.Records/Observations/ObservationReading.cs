using GraftWatch.Aftercare.Grafts;

namespace GraftWatch.Records.Observations;

/// <summary>What a grower's words mean.</summary>
public abstract record ObservationReading
{
    private ObservationReading()
    {
    }

    /// <summary>They are known.</summary>
    /// <param name="Kind">What was seen or done.</param>
    /// <param name="Value">BBCH code or length [m], where the kind has one.</param>
    /// <param name="Material">The cover that was put on, as the register writes it; empty when it was not said.</param>
    public sealed record Understood(ObservationKind Kind, double? Value = null, string Material = "") : ObservationReading;

    /// <summary>They are not.</summary>
    /// <param name="Why">A sentence that says what is wrong and what would be right.</param>
    /// <param name="Nearest">Words that were probably meant, or null.</param>
    public sealed record NotUnderstood(string Why, string? Nearest = null) : ObservationReading;
}
