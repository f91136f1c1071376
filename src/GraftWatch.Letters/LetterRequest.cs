using GraftWatch.Letters.Wording;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Letters;

/// <summary>Which letter is wanted.</summary>
public sealed record LetterRequest
{
    /// <summary>Running number of the grower's letters.</summary>
    public required int Number { get; init; }

    /// <summary>The instant of the run; becomes the letter's date.</summary>
    public required Instant Now { get; init; }

    /// <summary>The morning letter, or an urgent note.</summary>
    public LetterKind Kind { get; init; }

    /// <summary>Which urgent note of the day, from 0.</summary>
    public int Ordinal { get; init; }

    /// <summary>When the letter was due; a letter more than ten minutes late says so. Null when it was not due at an hour.</summary>
    public Instant? DueAt { get; init; }

    /// <summary>What else must be said at the top, such as that yesterday's letter did not go out; empty for nothing.</summary>
    public string Notice { get; init; } = string.Empty;

    /// <summary>The grower's letter before this one; its calendar part is carried on. Null when there was none.</summary>
    public SealedLetter? Previous { get; init; }

    /// <summary>The sentences at the top, for the grower's zone.</summary>
    internal string NoticeIn(DateTimeZone zone, LocalDate date)
    {
        string late = DueAt is { } due && Now - due > Duration.FromMinutes(10)
            ? $"This letter is late: it was due at {new Hours(date, zone).At(due)}."
            : string.Empty;
        return string.Join(' ', new[] { late, Notice }.Where(s => s.Length > 0));
    }
}

/// <summary>What a grower's letters carry besides text and HTML.</summary>
/// <param name="Picture">The picture of the next days.</param>
/// <param name="Calendar">The calendar part.</param>
public sealed record LetterChoices(bool Picture = true, bool Calendar = true);
