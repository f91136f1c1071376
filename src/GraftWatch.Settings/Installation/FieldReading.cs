using GraftWatch.Settings.Keys;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Settings.Installation;

/// <summary>Reads texts that mean a mail address, a time of day, a digest or a web address.</summary>
internal static class FieldReading
{
    private static readonly LocalTimePattern HourPattern = LocalTimePattern.CreateWithInvariantCulture("H:mm");

    /// <summary>One mail address without a name.</summary>
    internal static string Mailbox(TableReader reader, KeySpec spec)
    {
        string text = reader.Text(spec);
        int at = text.IndexOf('@', StringComparison.Ordinal);
        bool right = at > 0 && at == text.LastIndexOf('@') && at < text.Length - 1 && text.Length <= 254 && !text.Any(c => char.IsWhiteSpace(c) || char.IsControl(c) || c is '<' or '>' or ',' or ';');
        if (text.Length > 0 && !right)
        {
            reader.Fault(spec, $"'{Short(text, 60)}' is not a mail address.", "Expected one address without a name.");
        }

        return text;
    }

    /// <summary>A time of day; null when the key is absent. Where two times belong together, one without the other is a fault.</summary>
    internal static LocalTime? Hour(TableReader reader, KeySpec spec, KeySpec? with = null)
    {
        if (!reader.Has(spec))
        {
            return null;
        }

        if (with is not null && !reader.Has(with))
        {
            reader.Fault(spec, $"{spec.Key} stands without {with.Key}.", "Give both or neither.");
        }

        string text = reader.Text(spec);
        ParseResult<LocalTime> hour = HourPattern.Parse(text);
        if (!hour.Success && text.Length > 0)
        {
            reader.Fault(spec, $"'{Short(text, 20)}' is not a time of day.", "Expected hours and minutes, 00:00 to 23:59.");
        }

        return hour.Success ? hour.Value : null;
    }

    /// <summary>A SHA-256 digest in hexadecimal, with or without colons; null when the key is absent.</summary>
    internal static string? Digest(TableReader reader, KeySpec spec)
    {
        string text = reader.Text(spec).Replace(":", string.Empty, StringComparison.Ordinal).ToLowerInvariant();
        if (text.Length == 0)
        {
            return null;
        }

        if (text.Length != 64 || !text.All(char.IsAsciiHexDigit))
        {
            reader.Fault(spec, "This is no SHA-256 digest.", "Expected 64 hexadecimal digits, with or without colons.");
        }

        return text;
    }

    /// <summary>A web address of one of the schemes, without user name, query or fragment; null, and a fault, when it is none.</summary>
    internal static Uri? Web(TableReader reader, KeySpec spec, params ReadOnlySpan<string> schemes)
    {
        string text = reader.Text(spec);
        if (text.Length == 0)
        {
            return null;
        }

        if (Uri.TryCreate(text, UriKind.Absolute, out Uri? address) && schemes.Contains(address.Scheme) && address.Host.Length > 0
            && address.UserInfo.Length == 0 && address.Fragment.Length == 0)
        {
            return address;
        }

        // An address with a user name may hold a password; a fault goes to logs and is not to repeat it.
        string what = text.Contains('@', StringComparison.Ordinal) ? "The address with a user name" : $"'{Short(text, 60)}'";
        reader.Fault(spec, what + " cannot be used here.", $"Expected {string.Join(" or ", schemes.ToArray().Select(scheme => scheme + "://"))}, a host and no user name.");
        return null;
    }

    internal static string Short(string text, int most) => text.Length > most ? text[..most] + "…" : text;
}
