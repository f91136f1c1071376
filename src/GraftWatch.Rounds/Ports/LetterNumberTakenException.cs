namespace GraftWatch.Rounds.Ports;

/// <summary>Another letter of the grower took the running number meanwhile; the number is part of the bytes, so the letter must be composed again.</summary>
public sealed class LetterNumberTakenException(string grower, int number)
    : InvalidOperationException($"Letter {number} of {grower} exists already; ask for the next number and compose again.");
