using System.Globalization;
using System.Net;
using System.Net.Sockets;
using GraftWatch.Letters.Wording;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Letters.Channels;

/// <summary>Sends one request and says what may be done next. No retry here: the ledger retries. Every call ends within its limit, answers are capped.</summary>
internal sealed class HttpHandOver : IDisposable
{
    private const int AnswerLimit = 64 * 1024;
    private static readonly Duration LongestWait = Duration.FromHours(1);
    private readonly HttpClient outside;
    private readonly HttpClient anywhere;
    private readonly TimeProvider time;
    private readonly TimeSpan limit;

    public HttpHandOver(OutsideGuard guard, TimeProvider time, TimeSpan limit)
    {
        this.time = time;
        this.limit = limit;
        outside = new HttpClient(guard.CreateHandler()) { Timeout = Timeout.InfiniteTimeSpan };
        anywhere = new HttpClient(guard.CreateHandler(mayBeInside: true)) { Timeout = Timeout.InfiniteTimeSpan };
    }

    /// <summary>Sends, and gives the start of the answer's body with the result.</summary>
    public async Task<(DeliveryResult Result, byte[] Answer)> SendAsync(
        HttpMethod method, Uri address, bool mayBeInside, TrackedBody body, Action<HttpRequestMessage> dress, CancellationToken cancellationToken)
    {
        if (OutsideGuard.Check(address) is { } fault)
        {
            return (new(DeliveryOutcome.TryLater, DeliveryReason.NotSetUp, fault), []);
        }

        using var request = new HttpRequestMessage(method, address) { Content = body };
        dress(request);
        request.Headers.UserAgent.ParseAdd("GraftWatch");
        using var late = new CancellationTokenSource(limit, time);
        using var both = CancellationTokenSource.CreateLinkedTokenSource(late.Token, cancellationToken);
        try
        {
            using HttpResponseMessage response = await (mayBeInside ? anywhere : outside)
                .SendAsync(request, HttpCompletionOption.ResponseHeadersRead, both.Token).ConfigureAwait(false);
            byte[] answer = await ReadAsync(response, both.Token).ConfigureAwait(false);
            return (Judge(response), answer);
        }
        catch (Exception e) when (e is HttpRequestException or IOException or SocketException or OperationCanceledException)
        {
            return (Failed(e, body.Left, late.IsCancellationRequested), []);
        }
    }

    public void Dispose()
    {
        outside.Dispose();
        anywhere.Dispose();
    }

    /// <summary>The body is only read for what a protocol defines in it; a slow or endless one does not undo an answer already given.</summary>
    private static async Task<byte[]> ReadAsync(HttpResponseMessage response, CancellationToken cancellationToken)
    {
        byte[] answer = new byte[AnswerLimit];
        int length = 0;
        try
        {
            await using Stream stream = await response.Content.ReadAsStreamAsync(cancellationToken).ConfigureAwait(false);
            while (length < AnswerLimit && await stream.ReadAsync(answer.AsMemory(length), cancellationToken).ConfigureAwait(false) is var read and > 0)
            {
                length += read;
            }
        }
        catch (Exception e) when (e is HttpRequestException or IOException or OperationCanceledException)
        {
            // The status line is the answer.
        }

        return answer[..length];
    }

    private DeliveryResult Judge(HttpResponseMessage response)
    {
        int code = (int)response.StatusCode;
        string words = PlainWords.OneLine(string.Create(CultureInfo.InvariantCulture, $"{code} {response.ReasonPhrase}"), 200);
        return code switch
        {
            >= 200 and < 300 => DeliveryResult.Accepted(words),
            >= 300 and < 400 => new(DeliveryOutcome.GiveUp, DeliveryReason.Refused, words + "; redirects are not followed, enter the final address"),
            401 or 403 or 407 => new(DeliveryOutcome.TryLater, DeliveryReason.SignIn, words),
            408 or 425 or 429 or >= 500 => new(DeliveryOutcome.TryLater, DeliveryReason.ServerBusy, words) { RetryAfter = Wait(response) },
            404 or 410 => new(DeliveryOutcome.GiveUp, DeliveryReason.BadRecipient, words),
            _ => new(DeliveryOutcome.GiveUp, DeliveryReason.Refused, words),
        };
    }

    private Duration? Wait(HttpResponseMessage response)
    {
        TimeSpan? asked = response.Headers.RetryAfter switch
        {
            { Delta: { } delta } => delta,
            { Date: { } date } => date - time.GetUtcNow(),
            _ => null,
        };
        return asked is { } wait && wait > TimeSpan.Zero ? Duration.Min(Duration.FromTimeSpan(wait), LongestWait) : null;
    }

    private static DeliveryResult Failed(Exception error, bool left, bool late)
    {
        if (error is OutsideRefusedException || error.InnerException is OutsideRefusedException)
        {
            return new(DeliveryOutcome.GiveUp, DeliveryReason.Security, (error as OutsideRefusedException ?? error.InnerException!).Message);
        }

        string words = late ? "no answer in time" : error is OperationCanceledException ? "stopped" : PlainWords.OneLine(error.Message, 200);
        HttpRequestError kind = (error as HttpRequestException)?.HttpRequestError ?? HttpRequestError.Unknown;
        return kind == HttpRequestError.SecureConnectionError ? new(DeliveryOutcome.TryLater, DeliveryReason.Security, words)
            : left ? new(DeliveryOutcome.Unknown, DeliveryReason.Connection, words + "; the other side may have it")
            : new(DeliveryOutcome.TryLater, DeliveryReason.Connection, words);
    }
}

/// <summary>A body that knows whether it left.</summary>
internal sealed class TrackedBody : ByteArrayContent
{
    public TrackedBody(ReadOnlyMemory<byte> bytes, string mediaType)
        : base(bytes.ToArray()) => Headers.TryAddWithoutValidation("Content-Type", mediaType);

    /// <summary>Whether the last byte was handed to the line.</summary>
    public bool Left { get; private set; }

    /// <inheritdoc />
    protected override async Task SerializeToStreamAsync(Stream stream, TransportContext? context, CancellationToken cancellationToken)
    {
        // From the first byte on the other side may act on what it has.
        Left = true;
        await base.SerializeToStreamAsync(stream, context, cancellationToken).ConfigureAwait(false);
    }
}
