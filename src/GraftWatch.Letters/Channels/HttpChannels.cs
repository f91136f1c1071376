using System.Globalization;
using System.Net.Http.Headers;
using System.Text.Json;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Letters.Channels;

/// <summary>The channels that speak HTTP: signed JSON, short text, Matrix.</summary>
internal sealed class HttpChannels(OutsideGuard guard, TimeProvider time, TimeSpan limit) : IDisposable
{
    private readonly HttpHandOver http = new(guard, time, limit);

    public async Task<DeliveryResult> DeliverAsync(ChannelTarget.SignedPost target, SealedLetter letter, CancellationToken cancellationToken)
    {
        long now = time.GetUtcNow().ToUnixTimeSeconds();
        if (WebhookSignature.Of(target.Secret, letter.MessageId, now, letter.Bytes.Span) is not { } signature)
        {
            return new(DeliveryOutcome.TryLater, DeliveryReason.NotSetUp, "the secret is no base64 of 24 to 64 bytes");
        }

        using var body = new TrackedBody(letter.Bytes, "application/json");
        (DeliveryResult result, _) = await http.SendAsync(
            HttpMethod.Post, target.Address, target.MayBeInside, body,
            request =>
            {
                request.Headers.Add("webhook-id", letter.MessageId);
                request.Headers.Add("webhook-timestamp", now.ToString(CultureInfo.InvariantCulture));
                request.Headers.Add("webhook-signature", signature);
            },
            cancellationToken).ConfigureAwait(false);
        return result;
    }

    public async Task<DeliveryResult> DeliverAsync(ChannelTarget.TextPost target, SealedLetter letter, CancellationToken cancellationToken)
    {
        using var body = new TrackedBody(letter.Bytes, "text/plain; charset=utf-8");
        (DeliveryResult result, _) = await http.SendAsync(
            HttpMethod.Post, target.Address, target.MayBeInside, body,
            request =>
            {
                request.Headers.TryAddWithoutValidation("Idempotency-Key", letter.MessageId);
                foreach ((string name, string value) in target.Headers)
                {
                    if (!value.AsSpan().ContainsAny('\r', '\n'))
                    {
                        request.Headers.TryAddWithoutValidation(name, value);
                    }
                }
            },
            cancellationToken).ConfigureAwait(false);
        return result;
    }

    /// <summary>Client-server API, PUT rooms/send: the transaction id is the slot's, so the homeserver keeps one event however often it is asked.</summary>
    public async Task<DeliveryResult> DeliverAsync(ChannelTarget.Matrix target, SealedLetter letter, CancellationToken cancellationToken)
    {
        var address = new Uri(
            target.Homeserver.GetLeftPart(UriPartial.Path).TrimEnd('/')
            + $"/_matrix/client/v3/rooms/{Uri.EscapeDataString(target.Room)}/send/m.room.message/{letter.MessageId}");
        using var body = new TrackedBody(letter.Bytes, "application/json");
        (DeliveryResult result, byte[] answer) = await http.SendAsync(
            HttpMethod.Put, address, target.MayBeInside, body,
            request => request.Headers.Authorization = new AuthenticationHeaderValue("Bearer", target.AccessToken),
            cancellationToken).ConfigureAwait(false);
        (string? error, double? waitMs) = MatrixError(answer);
        string detail = error is null ? result.Detail : $"{result.Detail}, {error}";
        return result switch
        {
            { Outcome: DeliveryOutcome.Unknown } => result with { Outcome = DeliveryOutcome.TryLater, Detail = result.Detail + "; sent again it stays one" },
            { RetryAfter: null } when waitMs is { } wait => result with { Detail = detail, RetryAfter = Duration.FromMilliseconds(Math.Clamp(wait, 0, 3_600_000)) },
            { Reason: DeliveryReason.SignIn } when error == "M_FORBIDDEN" => new(DeliveryOutcome.GiveUp, DeliveryReason.Refused, detail),
            _ => result with { Detail = detail },
        };
    }

    public void Dispose() => http.Dispose();

    private static (string? Error, double? WaitMs) MatrixError(byte[] answer)
    {
        try
        {
            using var json = JsonDocument.Parse(answer);
            JsonElement root = json.RootElement;
            if (root.ValueKind != JsonValueKind.Object)
            {
                return (null, null);
            }

            string? error = root.TryGetProperty("errcode", out JsonElement code) && code.ValueKind == JsonValueKind.String ? Wording.PlainWords.OneLine(code.GetString(), 40) : null;
            double? wait = root.TryGetProperty("retry_after_ms", out JsonElement ms) && ms.ValueKind == JsonValueKind.Number ? ms.GetDouble() : null;
            return (error, wait);
        }
        catch (JsonException)
        {
            return (null, null);
        }
    }
}
