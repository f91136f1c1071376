using System.Security.Cryptography;
using GraftWatch.Pages.Security;

namespace GraftWatch.Pages.FirstStart;

/// <summary>Who may answer, and what was answered.</summary>
/// <remarks>
/// The code stands on the terminal or in the journal, where only who runs the machine reads it. It works once, for one browser; then a
/// fresh one is told. Many wrong ones make it void too.
/// </remarks>
/// <param name="tell">Tells who runs the machine a fresh code.</param>
internal sealed class FirstStartDesk(Action<string> tell)
{
    private readonly Lock gate = new();
    private readonly TaskCompletionSource finished = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private readonly EntryCode code = new();
    private byte[]? browser;

    /// <summary>The code that works now.</summary>
    internal string Code => code.Now;

    /// <summary>What was answered so far.</summary>
    internal FirstStartDraft Draft { get; set; } = new();

    /// <summary>Whether the settings are written.</summary>
    internal bool IsWritten { get; set; }

    /// <summary>Ends when the settings are written and the last page was shown.</summary>
    internal Task Finished => finished.Task;

    internal void Finish() => finished.TrySetResult();

    /// <summary>Uses the code up; gives the token of the browser that may go on, or null.</summary>
    internal string? Enter(string typed)
    {
        lock (gate)
        {
            bool isRight = code.Use(typed, out bool isNew);
            string? token = isRight ? Tokens.Fresh() : null;
            browser = token is null ? browser : Tokens.Hash(token);
            if (isNew)
            {
                tell(Code);
            }

            return token;
        }
    }

    /// <summary>Whether a request comes from the browser that entered.</summary>
    internal bool IsIn(HttpContext http) =>
        browser is { } known && PageCookies.Session(http) is { } token && Tokens.IsShaped(token) && CryptographicOperations.FixedTimeEquals(Tokens.Hash(token), known);

    /// <summary>A code as people read it.</summary>
    internal static string Spell(string code) => EntryCode.Spell(code);
}
