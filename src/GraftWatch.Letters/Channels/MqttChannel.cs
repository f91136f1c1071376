using System.Net;
using System.Net.Sockets;
using System.Security.Authentication;
using GraftWatch.Letters.Wording;
using GraftWatch.Rounds.Ports;
using MQTTnet;
using MQTTnet.Exceptions;
using MQTTnet.Formatter;
using MQTTnet.Protocol;

namespace GraftWatch.Letters.Channels;

/// <summary>Publishes to an MQTT 5 broker, retained, with an expiry, at quality of service 1; taken means acknowledged below 0x80.</summary>
internal sealed class MqttChannel(OutsideGuard guard, TimeProvider time, TimeSpan limit)
{
    /// <summary>A morning is of no use the day after next.</summary>
    private const uint ExpirySeconds = 36 * 3600;

    public async Task<DeliveryResult> DeliverAsync(ChannelTarget.Mqtt target, SealedLetter letter, CancellationToken cancellationToken)
    {
        if (target.Topic.Length == 0 || target.Topic.AsSpan().ContainsAny('#', '+', '\0'))
        {
            return new(DeliveryOutcome.TryLater, DeliveryReason.NotSetUp, "the topic is empty or holds a wildcard");
        }

        using var late = new CancellationTokenSource(limit, time);
        using var both = CancellationTokenSource.CreateLinkedTokenSource(late.Token, cancellationToken);
        bool left = false;
        try
        {
            using IMqttClient client = new MqttClientFactory().CreateMqttClient();
            MqttClientConnectResult connected = await client.ConnectAsync(await OptionsAsync(target, letter, both.Token).ConfigureAwait(false), both.Token).ConfigureAwait(false);
            if (connected.ResultCode != MqttClientConnectResultCode.Success)
            {
                return Refused(connected.ResultCode);
            }

            left = true;
            MqttClientPublishResult published = await client.PublishAsync(Message(target, letter), both.Token).ConfigureAwait(false);
            left = false;
            await client.DisconnectAsync(new MqttClientDisconnectOptions(), both.Token).ConfigureAwait(false);
            return Judge(published);
        }
        catch (OutsideRefusedException e)
        {
            return new(DeliveryOutcome.GiveUp, DeliveryReason.Security, e.Message);
        }
        catch (Exception e) when (e is MqttCommunicationException or MqttProtocolViolationException or SocketException or IOException
            or OperationCanceledException or AuthenticationException or InvalidOperationException)
        {
            return Failed(e, left, late.IsCancellationRequested);
        }
    }

    private async Task<MqttClientOptions> OptionsAsync(ChannelTarget.Mqtt target, SealedLetter letter, CancellationToken cancellationToken)
    {
        IPAddress[] addresses = await guard.ResolveAsync(target.Host, target.MayBeInside, cancellationToken).ConfigureAwait(false);
        MqttClientOptionsBuilder options = new MqttClientOptionsBuilder()
            .WithEndPoint(new IPEndPoint(addresses[0], target.Port))
            .WithProtocolVersion(MqttProtocolVersion.V500)
            .WithClientId("graftwatch-" + letter.MessageId[..12])
            .WithCleanStart()
            .WithTimeout(limit);
        if (target.UserName.Length > 0)
        {
            options = options.WithCredentials(target.UserName, target.Password);
        }

        if (target.Tls)
        {
            options = options.WithTlsOptions(tls => tls.UseTls().WithTargetHost(target.Host).WithSslProtocols(SslProtocols.Tls12 | SslProtocols.Tls13));
        }

        return options.Build();
    }

    private static MqttApplicationMessage Message(ChannelTarget.Mqtt target, SealedLetter letter) => new MqttApplicationMessageBuilder()
        .WithTopic(target.Topic.TrimEnd('/') + (letter.Slot.Kind == LetterKind.Urgent ? "/urgent" : "/morning"))
        .WithPayload(letter.Bytes.ToArray())
        .WithContentType("application/json")
        .WithQualityOfServiceLevel(MqttQualityOfServiceLevel.AtLeastOnce)
        .WithRetainFlag()
        .WithMessageExpiryInterval(ExpirySeconds)
        .Build();

    private static DeliveryResult Judge(MqttClientPublishResult published)
    {
        int code = (int)published.ReasonCode;
        return code < 0x80 ? DeliveryResult.Accepted($"broker: {published.ReasonCode}")
            : published.ReasonCode switch
            {
                MqttClientPublishReasonCode.NotAuthorized => new(DeliveryOutcome.TryLater, DeliveryReason.SignIn, $"broker: {published.ReasonCode}"),
                MqttClientPublishReasonCode.TopicNameInvalid => new(DeliveryOutcome.GiveUp, DeliveryReason.BadRecipient, $"broker: {published.ReasonCode}"),
                MqttClientPublishReasonCode.PayloadFormatInvalid => new(DeliveryOutcome.GiveUp, DeliveryReason.Refused, $"broker: {published.ReasonCode}"),
                _ => new(DeliveryOutcome.TryLater, DeliveryReason.ServerBusy, $"broker: {published.ReasonCode}"),
            };
    }

    private static DeliveryResult Refused(MqttClientConnectResultCode code) => code switch
    {
        MqttClientConnectResultCode.BadUserNameOrPassword or MqttClientConnectResultCode.NotAuthorized or MqttClientConnectResultCode.BadAuthenticationMethod or MqttClientConnectResultCode.Banned
            => new(DeliveryOutcome.TryLater, DeliveryReason.SignIn, $"broker: {code}"),
        _ => new(DeliveryOutcome.TryLater, DeliveryReason.ServerBusy, $"broker: {code}"),
    };

    private static DeliveryResult Failed(Exception error, bool left, bool late)
    {
        string words = late ? "no answer in time" : PlainWords.OneLine((error.InnerException ?? error).Message, 200);
        return left ? new(DeliveryOutcome.Unknown, DeliveryReason.Connection, words + "; the broker may have it")
            : error is AuthenticationException || error.InnerException is AuthenticationException ? new(DeliveryOutcome.TryLater, DeliveryReason.Security, words)
            : new(DeliveryOutcome.TryLater, DeliveryReason.Connection, words);
    }
}
