using System.Text;
using GraftWatch.Settings.Installation;

namespace GraftWatch.Settings.Secrets;

/// <summary>Finds the secrets that never stand in a settings file.</summary>
public static class SecretSource
{
    /// <summary>Environment variable of the mail password.</summary>
    public const string MailPasswordVariable = "GRAFTWATCH_MAIL_PASSWORD";

    /// <summary>Name of the mail password among the service manager's credentials.</summary>
    public const string MailPasswordCredential = "graftwatch-mail-password";

    /// <summary>Environment variable of the weather service's key.</summary>
    public const string WeatherKeyVariable = "GRAFTWATCH_WEATHER_KEY";

    /// <summary>Name of the weather service's key among the service manager's credentials.</summary>
    public const string WeatherKeyCredential = "graftwatch-weather-key";

    /// <summary>Environment variable of the store's password.</summary>
    public const string StorePasswordVariable = "GRAFTWATCH_STORE_PASSWORD";

    /// <summary>Name of the store's password among the service manager's credentials.</summary>
    public const string StorePasswordCredential = "graftwatch-store-password";

    private const string CredentialsFolder = "CREDENTIALS_DIRECTORY";
    private const int LongestSecret = 4096;

    /// <summary>The mail password: from the environment, the file the settings name, or the service manager's credential, the first of these that is there.</summary>
    /// <param name="mail">The mail server; a server without user name needs none.</param>
    /// <param name="environment">Reads an environment variable.</param>
    public static Secret FindMailPassword(MailSettings mail, Func<string, string?> environment)
    {
        if (mail.User is null)
        {
            return new Secret(null, "not needed: the mail server asks for no sign-in", null);
        }

        return Find(MailPasswordVariable, mail.PasswordFile, MailPasswordCredential, environment)
            ?? new Secret(null, string.Empty, $"There is no mail password. Set {MailPasswordVariable}, name a file in mail.password_file, or hand over the credential {MailPasswordCredential}.");
    }

    /// <summary>The weather service's key; there need not be one.</summary>
    /// <param name="environment">Reads an environment variable.</param>
    public static Secret FindWeatherKey(Func<string, string?> environment) =>
        Find(WeatherKeyVariable, null, WeatherKeyCredential, environment) ?? new Secret(null, "none: free use", null);

    /// <summary>The password of the PostgreSQL server; there need not be one, where the server trusts the user otherwise.</summary>
    /// <param name="store">The store.</param>
    /// <param name="environment">Reads an environment variable.</param>
    public static Secret FindStorePassword(StoreSettings store, Func<string, string?> environment)
    {
        ArgumentNullException.ThrowIfNull(store);
        return Find(StorePasswordVariable, store.PasswordFile, StorePasswordCredential, environment) ?? new Secret(null, "none: the server must trust the user otherwise", null);
    }

    /// <summary>The secret of a channel: what signs a post, the broker's password, the Matrix access token, or the bearer token of a text post.</summary>
    /// <param name="channel">The channel.</param>
    /// <param name="environment">Reads an environment variable.</param>
    public static Secret FindChannelSecret(ChannelSettings channel, Func<string, string?> environment)
    {
        ArgumentNullException.ThrowIfNull(channel);
        string variable = "GRAFTWATCH_CHANNEL_" + channel.Name.ToUpperInvariant().Replace('-', '_');
        string credential = "graftwatch-channel-" + channel.Name;
        bool needed = channel.Kind is ChannelKind.SignedPost or ChannelKind.Matrix || channel.User is not null;
        return Find(variable, channel.SecretFile, credential, environment)
            ?? new Secret(null, "none", needed ? $"There is no secret for the channel {channel.Name}. Set {variable}, name a file in its secret_file, or hand over the credential {credential}." : null);
    }

    private static Secret? Find(string variable, string? file, string credential, Func<string, string?> environment)
    {
        if (environment(variable) is { Length: > 0 } value)
        {
            return new Secret(value, "environment variable " + variable, null);
        }

        if (file is not null)
        {
            return FromFile(file);
        }

        return environment(CredentialsFolder) is { Length: > 0 } folder && Path.Combine(folder, credential) is var path && File.Exists(path) ? FromFile(path) : null;
    }

    private static Secret FromFile(string path)
    {
        try
        {
            using FileStream stream = File.OpenRead(path);
            byte[] bytes = new byte[LongestSecret + 1];
            int read = stream.ReadAtLeast(bytes, bytes.Length, throwOnEndOfStream: false);
            string value = Encoding.UTF8.GetString(bytes, 0, read).TrimEnd('\r', '\n');
            return read > LongestSecret || value.Length == 0 || value.Contains('\n', StringComparison.Ordinal)
                ? new Secret(null, "file " + path, $"The file {path} does not hold one password on one line.")
                : new Secret(value, "file " + path, null);
        }
        catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException)
        {
            return new Secret(null, "file " + path, $"The file {path} cannot be read: {trouble.Message}");
        }
    }
}

/// <summary>A secret, or why there is none. Its text form never shows the value.</summary>
/// <param name="Value">The secret; null when there is none.</param>
/// <param name="From">Where it was found, for <c>check</c>.</param>
/// <param name="Trouble">Why there is none where one is needed; null when all is well.</param>
public sealed record Secret(string? Value, string From, string? Trouble)
{
    /// <inheritdoc/>
    public override string ToString() => Trouble ?? (Value is null ? From : "given by " + From);
}
