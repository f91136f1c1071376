using System.Text;
using System.Text.RegularExpressions;
using GraftWatch.Settings.Faults;

namespace GraftWatch.Settings.Secrets;

/// <summary>Notices what looks like a password or key in a settings file. These files are copied, mailed and shown; secrets have other homes.</summary>
internal static partial class SecretSmell
{
    private const string Home = "Take it out, change it, and hand it over by environment variable or credential file.";

    internal static IReadOnlyList<SettingsFault> Find(SourceText text)
    {
        var warnings = new FaultList(text.Name);
        string[] lines = Encoding.UTF8.GetString(text.Bytes.Span).Split('\n');
        for (int i = 0; i < lines.Length; i++)
        {
            string line = lines[i].Length > 2000 ? lines[i][..2000] : lines[i];
            if (Named().Match(line) is { Success: true } named)
            {
                warnings.Add(i + 1, named.Groups["key"].Index + 1, named.Groups["key"].Value, "This looks like a secret.", Home);
            }
            else if (Url().Match(line) is { Success: true } url)
            {
                warnings.Add(i + 1, url.Index + 1, string.Empty, "This address holds a user name and password.", Home);
            }
            else if (Shape().Match(line) is { Success: true } shape && !line.Contains("certificate_sha256", StringComparison.Ordinal))
            {
                warnings.Add(i + 1, shape.Index + 1, string.Empty, "This looks like a key or token.", Home);
            }
        }

        return warnings.InFileOrder();
    }

    // A key that names a secret and has a value of its own; password_file names a place, not a secret.
    [GeneratedRegex(@"^\s*#?\s*[""']?(?<key>[A-Za-z0-9_.-]{0,60}(password|passwd|passphrase|pwd|secret|token|api[_-]?key|apikey)[""']?)\s*=\s*[""'](?<value>[^""']+)[""']", RegexOptions.CultureInvariant | RegexOptions.IgnoreCase)]
    private static partial Regex Named();

    [GeneratedRegex(@"[a-z][a-z0-9+.-]{1,20}://[^\s/""':@]{1,80}:[^\s/""'@]{1,200}@", RegexOptions.CultureInvariant | RegexOptions.IgnoreCase)]
    private static partial Regex Url();

    // Long runs of mixed letters and digits in quotes: 32 and more hexadecimal or base-64 signs, or the header of a private key.
    [GeneratedRegex(@"-----BEGIN [A-Z ]*PRIVATE KEY|[""']([0-9a-fA-F]{32,200}|[A-Za-z0-9+_-]{40,200}={0,2})[""']", RegexOptions.CultureInvariant)]
    private static partial Regex Shape();
}
