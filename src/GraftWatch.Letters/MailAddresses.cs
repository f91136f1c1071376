using MimeKit;

namespace GraftWatch.Letters;

/// <summary>Which mail addresses are taken. Narrower than the standard on purpose: no quotes, no comments, no spaces.</summary>
public static class MailAddresses
{
    private const string LocalPartSigns = "!#$%&'*+-/=?^_`{|}~.";

    /// <summary>Why an address cannot be used, as a sentence; null when it can.</summary>
    public static string? Check(string? address)
    {
        if (string.IsNullOrEmpty(address))
        {
            return "The address is empty.";
        }

        int at = address.LastIndexOf('@');
        if (at <= 0 || at == address.Length - 1 || address.IndexOf('@', StringComparison.Ordinal) != at)
        {
            return "A mail address has one @ with a name before and a domain after it.";
        }

        string local = address[..at];
        string domain = address[(at + 1)..];
        if (local.Length > 64 || address.Length > 254)
        {
            return "The address is longer than RFC 5321 allows (64 before the @, 254 in all).";
        }

        if (local.Any(c => !char.IsAsciiLetterOrDigit(c) && !LocalPartSigns.Contains(c, StringComparison.Ordinal))
            || local.StartsWith('.') || local.EndsWith('.') || local.Contains("..", StringComparison.Ordinal))
        {
            return "The part before the @ may hold letters, digits and " + LocalPartSigns + " without two dots together.";
        }

        return domain.Split('.').All(IsLabel) && domain.Length <= 253
            ? null
            : "The domain may hold letters, digits, hyphens and dots; write an international one in its xn-- form.";
    }

    /// <summary>The address for a message; false when <see cref="Check"/> refuses it.</summary>
    internal static bool TryParse(string? address, out MailboxAddress? mailbox)
    {
        mailbox = Check(address) is null ? new MailboxAddress(string.Empty, address!) : null;
        return mailbox is not null;
    }

    private static bool IsLabel(string label) =>
        label.Length is > 0 and <= 63 && label.All(c => char.IsAsciiLetterOrDigit(c) || c == '-') && label[0] != '-' && label[^1] != '-';
}
