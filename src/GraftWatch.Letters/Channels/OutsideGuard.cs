using System.Net;
using System.Net.Sockets;

namespace GraftWatch.Letters.Channels;

/// <summary>Keeps addresses that growers enter from reaching into the operator's own network.</summary>
/// <remarks>
/// A name is resolved once, every answer is checked, and the checked address is the one connected to: a name that
/// changes its answer between check and connection gains nothing. The check stands at the connection itself, so it
/// holds for redirects as well, which are not followed anyway. Proxies from the environment are not used.
/// </remarks>
/// <param name="insideHosts">Hosts the operator allows although they are inside, as the addresses write them.</param>
/// <param name="resolve">Resolves names; null for the system's resolver.</param>
public sealed class OutsideGuard(IEnumerable<string>? insideHosts = null, Func<string, CancellationToken, Task<IPAddress[]>>? resolve = null)
{
    private readonly HashSet<string> inside = new(insideHosts ?? [], StringComparer.OrdinalIgnoreCase);
    private readonly Func<string, CancellationToken, Task<IPAddress[]>> resolve = resolve ?? Dns.GetHostAddressesAsync;

    /// <summary>A handler that connects only where it may.</summary>
    /// <param name="mayBeInside">Whether the target is the operator's own and may be anywhere.</param>
    public SocketsHttpHandler CreateHandler(bool mayBeInside = false) => new()
    {
        AllowAutoRedirect = false,
        UseProxy = false,
        UseCookies = false,
        ConnectTimeout = TimeSpan.FromSeconds(10),
        PooledConnectionLifetime = TimeSpan.FromMinutes(10),
        MaxResponseHeadersLength = 32,
        ConnectCallback = (context, token) => ConnectAsync(context.DnsEndPoint, mayBeInside, token),
    };

    /// <summary>Resolves a host and gives the addresses that may be connected to.</summary>
    /// <exception cref="OutsideRefusedException">One of its addresses is inside and not allowed.</exception>
    public async Task<IPAddress[]> ResolveAsync(string host, bool mayBeInside, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(host);
        IPAddress[] addresses = IPAddress.TryParse(host, out IPAddress? literal) ? [literal] : await resolve(host, cancellationToken).ConfigureAwait(false);
        if (addresses.Length == 0)
        {
            throw new SocketException((int)SocketError.HostNotFound);
        }

        return mayBeInside || inside.Contains(host) || addresses.All(IsPublic)
            ? addresses
            : throw new OutsideRefusedException();
    }

    /// <summary>Why an address cannot be a target, as a sentence; null when it can. Where it leads is checked at the connection.</summary>
    public static string? Check(Uri address)
    {
        ArgumentNullException.ThrowIfNull(address);
        return !address.IsAbsoluteUri || address.Scheme is not ("https" or "http") ? "The address must begin with https:// or http://."
            : address.UserInfo.Length > 0 ? "The address must not carry a user name or password."
            : address.Fragment.Length > 0 ? "The address must not have a part after #."
            : null;
    }

    /// <summary>Whether an address belongs to the public internet (IANA special-purpose registries, RFC 6890 and later).</summary>
    public static bool IsPublic(IPAddress address)
    {
        ArgumentNullException.ThrowIfNull(address);
        if (address.IsIPv4MappedToIPv6)
        {
            return IsPublic(address.MapToIPv4());
        }

        Span<byte> b = stackalloc byte[16];
        address.TryWriteBytes(b, out int length);
        return length == 4 ? IsPublic4(b[..4]) : IsPublic6(b);
    }

    private static bool IsPublic4(ReadOnlySpan<byte> b) => b[0] switch
    {
        0 or 10 or 127 or >= 224 => false,
        100 => b[1] is < 64 or > 127,
        169 => b[1] != 254,
        172 => b[1] is < 16 or > 31,
        192 => !((b[1] == 0 && b[2] is 0 or 2) || (b[1] == 88 && b[2] == 99) || b[1] == 168),
        198 => !(b[1] is 18 or 19 || (b[1] == 51 && b[2] == 100)),
        203 => !(b[1] == 0 && b[2] == 113),
        _ => true,
    };

    private static bool IsPublic6(ReadOnlySpan<byte> b)
    {
        if (b[..12].SequenceEqual((ReadOnlySpan<byte>)[0, 0x64, 0xFF, 0x9B, 0, 0, 0, 0, 0, 0, 0, 0]))
        {
            return IsPublic4(b[12..]);
        }

        bool global = (b[0] & 0xE0) == 0x20;
        bool protocols = b[0] == 0x20 && b[1] == 0x01 && (b[2] & 0xFE) == 0;
        bool documentation = (b[0] == 0x20 && b[1] == 0x01 && b[2] == 0x0D && b[3] == 0xB8) || (b[0] == 0x3F && b[1] == 0xFF && (b[2] & 0xF0) == 0);
        bool sixToFour = b[0] == 0x20 && b[1] == 0x02;
        return global && !protocols && !documentation && !sixToFour;
    }

    private async ValueTask<Stream> ConnectAsync(DnsEndPoint target, bool mayBeInside, CancellationToken cancellationToken)
    {
        IPAddress[] addresses = await ResolveAsync(target.Host, mayBeInside, cancellationToken).ConfigureAwait(false);
        var socket = new Socket(SocketType.Stream, ProtocolType.Tcp) { NoDelay = true };
        try
        {
            await socket.ConnectAsync(addresses, target.Port, cancellationToken).ConfigureAwait(false);
            return new NetworkStream(socket, ownsSocket: true);
        }
        catch
        {
            socket.Dispose();
            throw;
        }
    }
}

/// <summary>A target leads to an address inside the operator's network.</summary>
public sealed class OutsideRefusedException()
    : IOException("The address leads into the operator's own network, which is not allowed.");
