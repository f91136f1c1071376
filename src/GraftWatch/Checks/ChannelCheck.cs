using System.Globalization;
using System.Net;
using System.Net.Sockets;
using System.Runtime.CompilerServices;
using GraftWatch.Letters.Channels;
using GraftWatch.Settings.Installation;
using GraftWatch.Settings.Secrets;

namespace GraftWatch.Checks;

/// <summary>Ways besides mail: the secret is there, the address may be used and answers. Nothing is posted.</summary>
internal sealed class ChannelCheck : ICheck
{
    private const int SecondsToConnect = 8;
    private const int MqttPort = 1883, SecureMqttPort = 8883;

    public string Subject => "channel";

    public async IAsyncEnumerable<CheckLine> RunAsync(CheckScope scope, [EnumeratorCancellation] CancellationToken cancellationToken)
    {
        foreach (ChannelSettings channel in scope.Installation.Channels)
        {
            yield return await OneAsync(scope, channel, cancellationToken).ConfigureAwait(false);
        }
    }

    private async Task<CheckLine> OneAsync(CheckScope scope, ChannelSettings channel, CancellationToken cancellationToken)
    {
        Secret secret = SecretSource.FindChannelSecret(channel, scope.Surroundings.Environment);
        if (secret.Trouble is { } missing)
        {
            return new CheckLine(Subject, CheckVerdict.Wrong, $"channel {channel.Name}, secret_file: {InstallationCheck.OneLine(missing)}");
        }

        if (channel.Kind == ChannelKind.SignedPost && !IsSigningSecret(secret.Value ?? string.Empty))
        {
            return new CheckLine(Subject, CheckVerdict.Wrong, $"channel {channel.Name}, secret_file: the secret ({secret}) cannot sign.", "It must be base64 of 24 to 64 bytes, with or without whsec_ before it.");
        }

        if (!scope.Installation.Growers.Any(grower => grower.Morning.Contains(channel.Name) || grower.Urgent.Contains(channel.Name)))
        {
            return new CheckLine(Subject, CheckVerdict.Look, $"channel {channel.Name}: no grower of the settings uses it.", "Name it in morning or urgent of a [[grower]].");
        }

        return await AddressAsync(scope, channel, secret, cancellationToken).ConfigureAwait(false);
    }

    private async Task<CheckLine> AddressAsync(CheckScope scope, ChannelSettings channel, Secret secret, CancellationToken cancellationToken)
    {
        int port = channel.Address.IsDefaultPort || channel.Address.Port < 0 ? channel.Address.Scheme switch { "mqtt" => MqttPort, "mqtts" => SecureMqttPort, "http" => 80, _ => 443 } : channel.Address.Port;
        string server = string.Create(CultureInfo.InvariantCulture, $"{channel.Address.Host}:{port}");
        using var limit = CancellationTokenSource.CreateLinkedTokenSource(cancellationToken);
        limit.CancelAfter(TimeSpan.FromSeconds(SecondsToConnect));
        try
        {
            IPAddress[] addresses = await new OutsideGuard(resolve: scope.Surroundings.Resolve).ResolveAsync(channel.Address.IdnHost, channel.Inside, limit.Token).ConfigureAwait(false);
            using var socket = new Socket(SocketType.Stream, ProtocolType.Tcp);
            await socket.ConnectAsync(addresses, port, limit.Token).ConfigureAwait(false);
            return new CheckLine(Subject, CheckVerdict.Fine, $"channel {channel.Name}: {server} answers; its secret is {secret}. Nothing was posted.");
        }
        catch (OutsideRefusedException)
        {
            return new CheckLine(Subject, CheckVerdict.Wrong, $"channel {channel.Name}, address: {channel.Address.Host} lies in your own network, which is not allowed.", "If that is meant, write inside = true into its table.");
        }
        catch (OperationCanceledException) when (!cancellationToken.IsCancellationRequested)
        {
            return new CheckLine(Subject, CheckVerdict.Failed, $"channel {channel.Name}, address: {server} does not answer within {SecondsToConnect} s.", "Correct the address, or look whether the service runs.");
        }
        catch (SocketException refused)
        {
            return new CheckLine(Subject, CheckVerdict.Failed, $"channel {channel.Name}, address: {server} cannot be reached ({InstallationCheck.OneLine(refused.Message)}).", "Correct the address, or look whether the service runs.");
        }
    }

    // Standard Webhooks 1.0.0, "Secret serialization": base64 of 24 to 64 random bytes behind whsec_.
    private static bool IsSigningSecret(string secret)
    {
        const string Prefix = "whsec_";
        string text = secret.StartsWith(Prefix, StringComparison.Ordinal) ? secret[Prefix.Length..] : secret;
        byte[] bytes = new byte[text.Length];
        return Convert.TryFromBase64String(text, bytes, out int length) && length is >= 24 and <= 64;
    }
}
