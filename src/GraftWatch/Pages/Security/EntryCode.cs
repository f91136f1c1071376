using System.Security.Cryptography;

namespace GraftWatch.Pages.Security;

/// <summary>A code that only who runs the machine can read. It works once; many wrong tries make it void too.</summary>
/// <remarks>Not for several threads at once: its owner keeps them apart.</remarks>
internal sealed class EntryCode
{
    private const string Letters = "23456789abcdefghjkmnpqrstuvwxyz";
    private const int MostWrong = 50;
    private int wrong;

    /// <summary>The code that works now.</summary>
    internal string Now { get; private set; } = Fresh();

    /// <summary>Whether this is the code; it is used up then. <paramref name="isNew"/> says that another one works from now on.</summary>
    internal bool Use(string typed, out bool isNew)
    {
        bool isRight = Tokens.AreEqual(typed.Trim().Replace("-", string.Empty, StringComparison.Ordinal).ToLowerInvariant(), Now);
        isNew = isRight || ++wrong % MostWrong == 0;
        Now = isNew ? Fresh() : Now;
        return isRight;
    }

    /// <summary>A code as people read it.</summary>
    internal static string Spell(string code) => code[..4] + "-" + code[4..];

    private static string Fresh() => RandomNumberGenerator.GetString(Letters, 8);
}
