using System.Net;
using Microsoft.Extensions.Logging;
using NodaTime;
using Polly;
using Polly.CircuitBreaker;
using Polly.Retry;

namespace GraftWatch.Forecasts.Fetching;

/// <summary>The line to one host: gate, retries, circuit and deadlines around send, read and parse together.</summary>
/// <remarks>
/// The body is read and parsed inside a try, because services break off in the middle of a reply that began with status 200, and because
/// deadlines set on the client or the handlers do not bound a body that drips. Only GET requests go through here.
/// </remarks>
internal sealed class HostLine
{
    private readonly ResiliencePipeline<Attempt> pipeline;
    private readonly HostGate gate;
    private readonly LineOptions options;
    private readonly TimeProvider time;
    private readonly ILogger logger;

    public HostLine(string host, LineOptions options, HostGate gate, TimeProvider time, ILogger logger)
    {
        Host = host;
        this.options = options;
        this.time = time;
        this.logger = logger;
        this.gate = gate;
        pipeline = new ResiliencePipelineBuilder<Attempt> { TimeProvider = time, Name = host }
            .AddRetry(new RetryStrategyOptions<Attempt>
            {
                MaxRetryAttempts = Math.Max(1, options.MostRetries),
                BackoffType = DelayBackoffType.Exponential,
                UseJitter = true,
                Delay = options.FirstDelay.ToTimeSpan(),
                ShouldHandle = a => ValueTask.FromResult(IsWorthATry(a.Outcome.Result?.Fault)),
                DelayGenerator = a => ValueTask.FromResult(DelayOf(a.Outcome.Result?.Fault)),
            })
            .AddCircuitBreaker(new CircuitBreakerStrategyOptions<Attempt>
            {
                FailureRatio = 0.6,
                MinimumThroughput = 5,
                SamplingDuration = TimeSpan.FromMinutes(5),
                BreakDuration = options.CircuitBreak.ToTimeSpan(),
                ShouldHandle = a => ValueTask.FromResult(a.Outcome.Result?.Fault is { IsOutage: true }),
            })
            .Build();
    }

    public string Host { get; }

    /// <summary>Fetches and parses; never throws but for <paramref name="cancellationToken"/>.</summary>
    /// <param name="weight">What the service counts the request as. [calls]</param>
    /// <param name="send">Sends the request and returns as soon as the headers are there.</param>
    /// <param name="parse">Makes a value of the whole body, whose memory it may not keep.</param>
    /// <param name="cancellationToken">Cancels.</param>
    public async Task<Fetched<T>> FetchAsync<T>(
        double weight, Func<CancellationToken, Task<HttpResponseMessage>> send, Func<ReadOnlyMemory<byte>, Instant, ParsedBody<T>> parse, CancellationToken cancellationToken)
        where T : class
    {
        Fetched<T> got = await FetchQuietlyAsync(weight, send, parse, cancellationToken).ConfigureAwait(false);
        if (got.Fault is { } fault)
        {
            Log.FetchFailed(logger, Host, fault.Kind, fault.Sentence);
        }
        else
        {
            Log.Fetched(logger, Host, got.NotModified);
        }

        return got;
    }

    private async Task<Fetched<T>> FetchQuietlyAsync<T>(
        double weight, Func<CancellationToken, Task<HttpResponseMessage>> send, Func<ReadOnlyMemory<byte>, Instant, ParsedBody<T>> parse, CancellationToken cancellationToken)
        where T : class
    {
        using var deadline = new CancellationTokenSource(options.TotalTimeout.ToTimeSpan(), time);
        using var either = CancellationTokenSource.CreateLinkedTokenSource(deadline.Token, cancellationToken);
        var last = new Fetched<T>();
        try
        {
            await pipeline.ExecuteAsync(
                async token =>
                {
                    last = await TryOnceAsync(weight, send, parse, token).ConfigureAwait(false);
                    return new Attempt(last.Fault);
                },
                either.Token).ConfigureAwait(false);
            return last;
        }
        catch (BrokenCircuitException)
        {
            return Failed<T>(new(FetchFaultKind.LeftAlone, $"{Host} failed several times in a row and is left alone for {options.CircuitBreak.TotalMinutes:0} min", false));
        }
        catch (OperationCanceledException) when (!cancellationToken.IsCancellationRequested)
        {
            // The last fault says more than the deadline, when there was one.
            string why = last.Fault is { } fault ? $"; the last try: {fault.Sentence}" : string.Empty;
            return Failed<T>(new(FetchFaultKind.Timeout, $"{Host} gave no whole answer within {options.TotalTimeout.TotalSeconds:0.#} s{why}", false));
        }
    }

    private async Task<Fetched<T>> TryOnceAsync<T>(
        double weight, Func<CancellationToken, Task<HttpResponseMessage>> send, Func<ReadOnlyMemory<byte>, Instant, ParsedBody<T>> parse, CancellationToken cancellationToken)
        where T : class
    {
        (IDisposable? turn, FetchFault? closed) = await gate.EnterAsync(weight, cancellationToken).ConfigureAwait(false);
        if (turn is null)
        {
            return Failed<T>(closed!);
        }

        Fetched<T> got;
        using (turn)
        using (var attempt = new CancellationTokenSource(options.AttemptTimeout.ToTimeSpan(), time))
        using (var either = CancellationTokenSource.CreateLinkedTokenSource(attempt.Token, cancellationToken))
        {
            try
            {
                using HttpResponseMessage response = await send(either.Token).ConfigureAwait(false);
                got = await ReadAsync(response, parse, either.Token).ConfigureAwait(false);
            }
            catch (Exception e) when (e is OperationCanceledException or HttpRequestException or IOException or InvalidDataException or Refit.ApiRequestException)
            {
                // A cancelled token surfaces under different names, depending on how far the request had come.
                cancellationToken.ThrowIfCancellationRequested();
                got = Failed<T>(attempt.IsCancellationRequested
                    ? new(FetchFaultKind.Timeout, $"{Host} gave no whole answer within {options.AttemptTimeout.TotalSeconds:0.#} s", true)
                    : new(FetchFaultKind.Network, NetworkWords.Of(Host, e), true));
            }
        }

        if (got.Fault is { Kind: FetchFaultKind.TooMany or FetchFaultKind.ServerTrouble or FetchFaultKind.NotAllowed, NotBefore: { } notBefore } fault)
        {
            await gate.HoldAsync(notBefore, fault.Sentence, cancellationToken).ConfigureAwait(false);
        }

        return got;
    }

    private async Task<Fetched<T>> ReadAsync<T>(
        HttpResponseMessage response, Func<ReadOnlyMemory<byte>, Instant, ParsedBody<T>> parse, CancellationToken cancellationToken)
        where T : class
    {
        ReplyHeaders headers = HeaderReader.Read(response);
        if (response.StatusCode == HttpStatusCode.NotModified)
        {
            return new Fetched<T> { NotModified = true, Headers = headers, At = Now() };
        }

        using BoundedBody body = await BoundedBody.ReadAsync(response.Content, options.MostBytes, cancellationToken).ConfigureAwait(false);
        if (response.StatusCode is not (HttpStatusCode.OK or HttpStatusCode.NonAuthoritativeInformation))
        {
            return Failed<T>(StatusWords.Read(Host, response, body.Bytes.Span, Now()));
        }

        if (body.IsTooLong)
        {
            return Failed<T>(new(FetchFaultKind.TooLong, $"{Host} sent more than {options.MostBytes / 1024.0 / 1024.0:0.#} MiB", false));
        }

        ParsedBody<T> parsed = parse(body.Bytes, Now());
        return parsed.Value is not null
            ? new Fetched<T> { Value = parsed.Value, Headers = headers, At = Now() }
            : Failed<T>(new(FetchFaultKind.BadReply, parsed.Trouble ?? $"{Host} sent nothing of use", parsed.MayRetry));
    }

    private bool IsWorthATry(FetchFault? fault) =>
        options.MostRetries > 0 && fault is { MayRetry: true } && (fault.NotBefore is not { } notBefore || notBefore - Now() < options.TotalTimeout);

    /// <summary>How long to wait before the next try: what the service asks for, else null for the usual growing, jittered delay.</summary>
    private TimeSpan? DelayOf(FetchFault? fault) =>
        fault?.NotBefore is { } notBefore ? (Duration.Max(Duration.Zero, notBefore - Now()) + Duration.FromMilliseconds(50)).ToTimeSpan() : null;

    private Fetched<T> Failed<T>(FetchFault fault)
        where T : class => new() { Fault = fault, At = Now() };

    private Instant Now() => Instant.FromDateTimeOffset(time.GetUtcNow());

    private sealed record Attempt(FetchFault? Fault);
}

/// <summary>Deadlines and limits of a line.</summary>
internal sealed record LineOptions
{
    public Duration AttemptTimeout { get; init; } = Duration.FromSeconds(15);

    public Duration TotalTimeout { get; init; } = Duration.FromSeconds(45);

    public Duration FirstDelay { get; init; } = Duration.FromSeconds(1);

    public Duration CircuitBreak { get; init; } = Duration.FromMinutes(5);

    public int MostRetries { get; init; } = 2;

    public int MostBytes { get; init; } = 32 * 1024 * 1024;
}
