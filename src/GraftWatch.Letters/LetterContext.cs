using GraftWatch.Letters.Links;
using NodaTime;

namespace GraftWatch.Letters;

/// <summary>What a letter knows besides the round.</summary>
public sealed record LetterContext
{
    /// <summary>A round printed on a terminal: no number, no links, no reply address.</summary>
    public static LetterContext Terminal { get; } = new();

    /// <summary>Running number of the grower's letters; null on a terminal.</summary>
    public int? Number { get; init; }

    /// <summary>Whether this is an urgent note between two letters.</summary>
    public bool IsUrgentNote { get; init; }

    /// <summary>Address a reply reaches, or empty when nobody reads replies.</summary>
    public string ReplyTo { get; init; } = string.Empty;

    /// <summary>How the grower notes that work is done; empty leaves the line out.</summary>
    public string HowToMark { get; init; } = "Done something? Write it in your register; the next letter follows it.";

    /// <summary>Grower's name as the ledger and the links know it; needed with <see cref="Links"/>.</summary>
    public string Grower { get; init; } = string.Empty;

    /// <summary>Makes the links of the letter; null when no public address is set.</summary>
    public ActionLinks? Links { get; init; }

    /// <summary>When the links end; needed with <see cref="Links"/>.</summary>
    public Instant LinksEnd { get; init; }

    /// <summary>When the link that stops the letters ends.</summary>
    public Instant StopEnds { get; init; }

    /// <summary>A sentence printed at the top, such as that the letter comes late; empty for none.</summary>
    public string Notice { get; init; } = string.Empty;
}
