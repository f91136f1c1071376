using System.Security.Cryptography;
using System.Text;
using GraftWatch.Letters.Channels;
using GraftWatch.Rounds.Ports;
using GraftWatch.Settings.Installation;
using GraftWatch.Settings.Secrets;

namespace GraftWatch.Serving;

/// <summary>Where letters go besides mail: the channels of graftwatch.toml, and the ways growers of the book entered, which never lead inside.</summary>
internal sealed class ChannelTargets(SettingsInForce settings, GrowersInForce growers, InstallationSecret secret, Func<string, string?> environment)
{
    private readonly Lock gate = new();
    private GraftWatchSettings? read;
    private Dictionary<string, ChannelTarget> named = [];
    private IReadOnlyList<string> troubles = [];

    /// <summary>Channels of the settings whose secret cannot be had, one sentence each.</summary>
    internal IReadOnlyList<string> Troubles
    {
        get
        {
            Named();
            return troubles;
        }
    }

    /// <summary>The target of a grower's channel, as slots name it; null when there is none, or it cannot be used.</summary>
    internal ChannelTarget? Find(string grower, string channel) =>
        LetterSlot.IsOwn(channel, out string name) ? growers.OwnWay(grower, channel) is { } way ? Own(grower, name, way) : null : Named().GetValueOrDefault(channel);

    /// <summary>The secret that signs posts to a way a grower entered; the same as long as the installation lives.</summary>
    internal string SecretOf(string grower, string channel)
    {
        byte[] about = Encoding.UTF8.GetBytes("graftwatch channel secret 1\n" + grower + "\n" + channel);
        return "whsec_" + Convert.ToBase64String(HKDF.DeriveKey(HashAlgorithmName.SHA256, secret.Value, 32, info: about));
    }

    private ChannelTarget? Own(string grower, string name, GrowerChannel way)
    {
        string slotName = LetterSlot.Own(name);
        return !Uri.TryCreate(way.Target, UriKind.Absolute, out Uri? address) ? null
            : way.Kind switch
            {
                GrowerChannelKinds.SignedPost => new ChannelTarget.SignedPost(slotName, MayBeInside: false, address, SecretOf(grower, name)),
                GrowerChannelKinds.TextPost => new ChannelTarget.TextPost(slotName, MayBeInside: false, address, new Dictionary<string, string>(StringComparer.Ordinal)),
                _ => null,
            };
    }

    // Secrets are looked for once a reading of the settings; an edit of the settings looks again.
    private Dictionary<string, ChannelTarget> Named()
    {
        GraftWatchSettings current = settings.Current.Installation;
        lock (gate)
        {
            if (!ReferenceEquals(read, current))
            {
                var found = new Dictionary<string, ChannelTarget>(StringComparer.Ordinal);
                var missing = new List<string>();
                foreach (ChannelSettings channel in current.Channels)
                {
                    Secret key = SecretSource.FindChannelSecret(channel, environment);
                    if (key.Trouble is { } trouble)
                    {
                        missing.Add(trouble);
                    }

                    found[channel.Name] = Target(channel, key.Value ?? string.Empty);
                }

                (read, named, troubles) = (current, found, missing);
            }

            return named;
        }
    }

    private static ChannelTarget Target(ChannelSettings channel, string key) => channel.Kind switch
    {
        ChannelKind.SignedPost => new ChannelTarget.SignedPost(channel.Name, channel.Inside, channel.Address, key),
        ChannelKind.TextPost => new ChannelTarget.TextPost(channel.Name, channel.Inside, channel.Address, Headers(channel, key), channel.LongestBytes),
        ChannelKind.Mqtt => new ChannelTarget.Mqtt(channel.Name, channel.Inside, channel.Address.Host, Port(channel.Address), Uri.UnescapeDataString(channel.Address.AbsolutePath).Trim('/'))
        {
            Tls = channel.Address.Scheme == "mqtts",
            UserName = channel.User ?? string.Empty,
            Password = key,
        },
        ChannelKind.Matrix => new ChannelTarget.Matrix(channel.Name, channel.Inside, channel.Address, channel.Room ?? string.Empty, key),
        _ => throw new System.Diagnostics.UnreachableException(),
    };

    private static int Port(Uri address) => !address.IsDefaultPort && address.Port > 0 ? address.Port : address.Scheme == "mqtts" ? 8883 : 1883;

    private static Dictionary<string, string> Headers(ChannelSettings channel, string key)
    {
        var headers = new Dictionary<string, string>(channel.Headers, StringComparer.OrdinalIgnoreCase);
        if (key.Length > 0)
        {
            headers.TryAdd("Authorization", "Bearer " + key);
        }

        return headers;
    }
}
