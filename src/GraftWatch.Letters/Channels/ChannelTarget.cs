namespace GraftWatch.Letters.Channels;

/// <summary>Where messages go besides mail. The name stands in the ledger; addresses and secrets stay in the settings.</summary>
/// <param name="Name">Name in the settings, unique.</param>
/// <param name="MayBeInside">Whether the operator set it and it may lead into the operator's own network.</param>
public abstract record ChannelTarget(string Name, bool MayBeInside)
{
    /// <summary>A JSON POST with a Standard Webhooks signature.</summary>
    /// <param name="Name">Name in the settings.</param>
    /// <param name="MayBeInside">Whether it may be inside.</param>
    /// <param name="Address">Where to.</param>
    /// <param name="Secret">Shared secret, base64 with or without <c>whsec_</c>.</param>
    public sealed record SignedPost(string Name, bool MayBeInside, Uri Address, string Secret) : ChannelTarget(Name, MayBeInside);

    /// <summary>A short plain-text POST, as gateways that push to phones take it.</summary>
    /// <param name="Name">Name in the settings.</param>
    /// <param name="MayBeInside">Whether it may be inside.</param>
    /// <param name="Address">Where to.</param>
    /// <param name="Headers">Further headers the gateway wants, such as an authorization.</param>
    /// <param name="LimitBytes">Longest body the gateway takes. [bytes of UTF-8]</param>
    public sealed record TextPost(string Name, bool MayBeInside, Uri Address, IReadOnlyDictionary<string, string> Headers, int LimitBytes = 4000)
        : ChannelTarget(Name, MayBeInside);

    /// <summary>A topic of an MQTT 5 broker.</summary>
    /// <param name="Name">Name in the settings.</param>
    /// <param name="MayBeInside">Whether it may be inside; a home broker is.</param>
    /// <param name="Host">Broker.</param>
    /// <param name="Port">Port; 8883 with TLS, 1883 without.</param>
    /// <param name="Topic">Topic; <c>/morning</c> or <c>/urgent</c> is added.</param>
    public sealed record Mqtt(string Name, bool MayBeInside, string Host, int Port, string Topic) : ChannelTarget(Name, MayBeInside)
    {
        /// <summary>Whether the line is secured.</summary>
        public bool Tls { get; init; } = true;

        /// <summary>User name; empty for none.</summary>
        public string UserName { get; init; } = string.Empty;

        /// <summary>Password.</summary>
        public string Password { get; init; } = string.Empty;
    }

    /// <summary>A Matrix room.</summary>
    /// <param name="Name">Name in the settings.</param>
    /// <param name="MayBeInside">Whether it may be inside.</param>
    /// <param name="Homeserver">Base address of the homeserver.</param>
    /// <param name="Room">Room id, such as <c>!abc:example.org</c>.</param>
    /// <param name="AccessToken">Access token of the sending account.</param>
    public sealed record Matrix(string Name, bool MayBeInside, Uri Homeserver, string Room, string AccessToken) : ChannelTarget(Name, MayBeInside);
}
