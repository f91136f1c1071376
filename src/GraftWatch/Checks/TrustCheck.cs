using System.Runtime.CompilerServices;
using System.Security.Cryptography;
using GraftWatch.Letters;

namespace GraftWatch.Checks;

/// <summary>Whether this machine trusts any certificate authority; without one no secure line can be opened.</summary>
internal sealed class TrustCheck : ICheck
{
    public string Subject => "trust";

    public bool NeedsSettings => false;

    public async IAsyncEnumerable<CheckLine> RunAsync(CheckScope scope, [EnumeratorCancellation] CancellationToken cancellationToken)
    {
        await Task.CompletedTask.ConfigureAwait(false);
        int roots;
        try
        {
            roots = scope.Surroundings.TrustedRoots();
        }
        catch (CryptographicException)
        {
            roots = 0;
        }

        yield return roots > 0
            ? new CheckLine(Subject, CheckVerdict.Fine, $"{roots} certificate authorities are trusted on this machine.")
            : new CheckLine(Subject, CheckVerdict.Failed, "This machine trusts no certificate authority: no weather can be fetched over https and no mail server proven.", "Install the package ca-certificates, or point SSL_CERT_FILE at a bundle.");
    }
}

/// <summary>The letters in the picture: they are drawn in the program, so a machine without fonts shows the same.</summary>
internal sealed class PictureCheck : ICheck
{
    public string Subject => "picture";

    public bool NeedsSettings => false;

    public async IAsyncEnumerable<CheckLine> RunAsync(CheckScope scope, [EnumeratorCancellation] CancellationToken cancellationToken)
    {
        await Task.CompletedTask.ConfigureAwait(false);
        int letters = PictureLetters.Count();
        yield return letters > 0
            ? new CheckLine(Subject, CheckVerdict.Fine, $"{letters} drawn letters come with the program; no font of this machine is needed.")
            : new CheckLine(Subject, CheckVerdict.Failed, "The drawn letters are missing in this program; pictures cannot be made.", "Install the program anew.");
    }
}
