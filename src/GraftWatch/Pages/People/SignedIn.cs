using GraftWatch.Pages.Language;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Pages.People;

/// <summary>Who is signed in.</summary>
/// <param name="Address">Mail address they signed in with; empty for who entered by the code of the machine.</param>
/// <param name="Session">Number of the session; 0 for who entered by the code of the machine.</param>
/// <param name="Grower">Their grower; null for an operator who grows nothing.</param>
/// <param name="IsOperator">Whether the operator's pages are theirs.</param>
/// <param name="IsKeptInFile">Whether the grower's profile stands in graftwatch.toml and is the operator's to change.</param>
/// <param name="Language">Language they chose; null for what their browser prefers.</param>
internal sealed record SignedIn(string Address, long Session, Grower? Grower, bool IsOperator, bool IsKeptInFile, PageLanguage? Language)
{
    /// <summary>Whether they entered by the code of the machine: they run the program and have no address here.</summary>
    internal bool IsByPlace => Address.Length == 0;
}
