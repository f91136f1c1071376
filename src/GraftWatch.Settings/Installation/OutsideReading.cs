using System.Globalization;
using System.Net;
using GraftWatch.Settings.Keys;
using NodaTime;
using static GraftWatch.Settings.Installation.InstallationKeys;

namespace GraftWatch.Settings.Installation;

/// <summary>Reads what connects the daemon to the outside besides mail and weather: channels, pages, the store, hours of letters.</summary>
internal sealed class OutsideReading(Func<string, string> beside)
{
    /// <summary>One [[channel]]; null when its address is not one.</summary>
    internal ChannelSettings? ReadChannel(TableReader reader)
    {
        string name = reader.Text(ChannelName);
        if (name.Length > 0 && (name == ChannelSettings.Mail || name.Length > 40 || !name.All(c => char.IsAsciiLetterLower(c) || char.IsAsciiDigit(c) || c == '-')))
        {
            reader.Fault(ChannelName, $"'{FieldReading.Short(name, 40)}' cannot name a channel.", "Expected small letters, digits and hyphens, at most 40, and not mail.");
        }

        string word = reader.Word(InstallationKeys.ChannelKind);
        Installation.ChannelKind kind = word switch
        {
            "text-post" => Installation.ChannelKind.TextPost,
            "mqtt" => Installation.ChannelKind.Mqtt,
            "matrix" => Installation.ChannelKind.Matrix,
            _ => Installation.ChannelKind.SignedPost,
        };
        Uri? address = word.Length == 0 ? null
            : kind == Installation.ChannelKind.Mqtt ? Broker(reader)
            : FieldReading.Web(reader, ChannelAddress, "https", "http");
        string room = reader.Text(Room);
        if (word.Length > 0 && (kind == Installation.ChannelKind.Matrix) != (room.Length > 0))
        {
            reader.Fault(Room, room.Length == 0 ? "A Matrix channel needs the id of its room." : $"A {word} channel has no room.");
        }

        IReadOnlyDictionary<string, string> headers = ReadHeaders(reader);
        return address is null ? null : new ChannelSettings
        {
            Name = name,
            Kind = kind,
            Address = address,
            Room = room.Length > 0 ? room : null,
            User = reader.Text(ChannelUser) is { Length: > 0 } user ? user : null,
            SecretFile = reader.Text(SecretFile) is { Length: > 0 } path ? beside(path) : null,
            Headers = headers,
            LongestBytes = reader.Whole(Longest, 4000),
            Inside = reader.Flag(Inside),
        };
    }

    /// <summary>[letters]</summary>
    internal static LetterSettings ReadLetters(TableReader? reader) => reader is null ? new LetterSettings() : new LetterSettings
    {
        TooLate = FieldReading.Hour(reader, TooLate) ?? new LocalTime(16, 0),
        SkipMissed = reader.Word(Missed) == "skip",
    };

    /// <summary>[page]</summary>
    internal static PageSettings ReadPage(TableReader? reader)
    {
        if (reader is null)
        {
            return new PageSettings();
        }

        Uri? address = FieldReading.Web(reader, PublicAddress, "https", "http");
        if (address is { Query.Length: > 0 })
        {
            reader.Fault(PublicAddress, "The public address has a query.", "Expected an address that ends with a host or a path.");
        }

        string listen = reader.Text(Listen, PageSettings.UsualListen);
        if (!IsListen(listen))
        {
            reader.Fault(Listen, $"'{FieldReading.Short(listen, 60)}' is no address and port.", "Expected such as 127.0.0.1:8620, [::1]:8620, or off.");
        }

        return new PageSettings
        {
            PublicAddress = address,
            Listen = listen,
            TrustedProxies = [.. reader.Texts(TrustedProxies, ReadNetwork).Select(network => network.Network)],
            Subscriptions = reader.Flag(Subscriptions),
            Geocoder = FieldReading.Web(reader, Geocoder, "https", "http"),
        };
    }

    /// <summary>[store]</summary>
    internal StoreSettings ReadStore(TableReader? reader)
    {
        if (reader is null)
        {
            return new StoreSettings();
        }

        StoreKind kind = reader.Word(StoreKindKey, "sqlite") == "postgresql" ? StoreKind.Postgresql : StoreKind.Sqlite;
        KeySpec[] ofServers = [StoreHost, StorePort, Database, StoreUser, StoreSecurity, StorePasswordFile];
        if (kind == StoreKind.Sqlite && ofServers.FirstOrDefault(reader.Has) is { } idle)
        {
            reader.Fault(idle, $"{idle.Key} means nothing for a store in a file.", "Add kind = \"postgresql\", or take the line out.");
        }

        string host = reader.Text(StoreHost, "localhost");
        bool near = host is "localhost" or "127.0.0.1" or "::1" || host.StartsWith('/');
        return new StoreSettings
        {
            Kind = kind,
            Host = host,
            Port = reader.Whole(StorePort, 5432),
            Database = reader.Text(Database, "graftwatch"),
            User = reader.Text(StoreUser, "graftwatch"),
            Tls = reader.Word(StoreSecurity, near ? "plain" : "tls") == "tls",
            PasswordFile = reader.Text(StorePasswordFile) is { Length: > 0 } path ? beside(path) : null,
        };
    }

    private static Uri? Broker(TableReader reader)
    {
        Uri? address = FieldReading.Web(reader, ChannelAddress, "mqtts", "mqtt");
        if (address is null)
        {
            return null;
        }

        string topic = Uri.UnescapeDataString(address.AbsolutePath).Trim('/');
        if (topic.Length == 0 || topic.Contains('#', StringComparison.Ordinal) || topic.Contains('+', StringComparison.Ordinal))
        {
            reader.Fault(ChannelAddress, "The address of a broker ends with a topic without wildcards.", "Expected such as mqtts://broker.example.org/graftwatch/orchard.");
        }

        return address;
    }

    private static Dictionary<string, string> ReadHeaders(TableReader reader)
    {
        var headers = new Dictionary<string, string>(StringComparer.OrdinalIgnoreCase);
        foreach (string line in reader.Texts(Headers))
        {
            int colon = line.IndexOf(':', StringComparison.Ordinal);
            string name = colon > 0 ? line[..colon].Trim() : string.Empty;
            string value = colon > 0 ? line[(colon + 1)..].Trim() : string.Empty;
            if (name.Length == 0 || !name.All(c => char.IsAsciiLetterOrDigit(c) || c == '-') || value.Any(c => c is < ' ' or > '~') || !headers.TryAdd(name, value))
            {
                reader.Fault(Headers, $"'{FieldReading.Short(line, 40)}' is no header, or is there twice.", "Expected each as \"Name: value\", in plain letters.");
            }
        }

        return headers;
    }

    private static WordReading<KnownNetwork> ReadNetwork(string text)
    {
        string whole = text.Contains('/', StringComparison.Ordinal) ? text : text + (text.Contains(':', StringComparison.Ordinal) ? "/128" : "/32");
        return IPNetwork.TryParse(whole, out IPNetwork network)
            ? new WordReading<KnownNetwork>(new KnownNetwork(network))
            : new WordReading<KnownNetwork>(null, $"'{FieldReading.Short(text, 50)}' is neither an address nor a network.", "Expected such as 127.0.0.1 or 10.0.0.0/8; the bits behind the mask are 0.");
    }

    private static bool IsListen(string text)
    {
        int colon = text.LastIndexOf(':');
        return text == "off" || (colon > 0
            && int.TryParse(text[(colon + 1)..], NumberStyles.None, CultureInfo.InvariantCulture, out int port) && port is >= 0 and <= 65535
            && (text[..colon] is "localhost" or "*" || IPAddress.TryParse(text[..colon].Trim('[', ']'), out _)));
    }

    private sealed record KnownNetwork(IPNetwork Network);
}
