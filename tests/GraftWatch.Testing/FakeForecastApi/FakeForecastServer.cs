using System.Buffers;
using System.Collections.Concurrent;
using System.IO.Compression;
using Microsoft.AspNetCore.Builder;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Hosting.Server;
using Microsoft.AspNetCore.Hosting.Server.Features;
using Microsoft.AspNetCore.Http;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using NodaTime;

namespace GraftWatch.Testing.FakeForecastApi;

/// <summary>A server on loopback that answers as the open forecast API does, for as many places as are asked for; its weather is invented and depends only on place and hour. A reply is made once and sent compressed.</summary>
public sealed class FakeForecastServer : IAsyncDisposable
{
    private readonly WebApplication app;
    private readonly Instant today;
    private readonly ConcurrentDictionary<string, (byte[] Packed, int Length)> replies = new(StringComparer.Ordinal);
    private int requests, inFlight, mostInFlight, places;
    private long bytes;

    private FakeForecastServer(WebApplication app, Instant today)
    {
        this.app = app;
        this.today = today;
    }

    /// <summary>Base address.</summary>
    public Uri Url { get; private set; } = new("http://127.0.0.1");

    /// <summary>Requests answered or under way.</summary>
    public int Requests => requests;

    /// <summary>Requests under way.</summary>
    public int InFlight => inFlight;

    /// <summary>Most requests that were ever under way at once.</summary>
    public int MostInFlight => mostInFlight;

    /// <summary>Locations answered.</summary>
    public int Places => places;

    /// <summary>Bytes of JSON made, before compression. [B]</summary>
    public long Bytes => bytes;

    /// <summary>No request is answered before this is done.</summary>
    public Task Opens { get; set; } = Task.CompletedTask;

    /// <summary>Starts a server.</summary>
    /// <param name="today">Any instant of the UTC day the forecasts begin at.</param>
    /// <param name="cancellationToken">Cancels the start.</param>
    public static async Task<FakeForecastServer> StartAsync(Instant today, CancellationToken cancellationToken)
    {
        WebApplicationBuilder builder = WebApplication.CreateSlimBuilder();
        builder.Logging.ClearProviders();
        builder.WebHost.UseKestrel().UseUrls("http://127.0.0.1:0");
        WebApplication app = builder.Build();
        var server = new FakeForecastServer(app, today);
        app.Run(server.AnswerAsync);
        await app.StartAsync(cancellationToken);
        server.Url = new Uri(app.Services.GetRequiredService<IServer>().Features.Get<IServerAddressesFeature>()!.Addresses.First());
        return server;
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync() => await app.DisposeAsync();

    private async Task AnswerAsync(HttpContext context)
    {
        Interlocked.Increment(ref requests);
        int now = Interlocked.Increment(ref inFlight);
        InterlockedMax(ref mostInFlight, now);
        try
        {
            await Opens.WaitAsync(context.RequestAborted);
            if (context.Request.Path != "/v1/forecast" || FakeForecastReply.Read(context.Request.Query, today) is not { } asked)
            {
                context.Response.StatusCode = StatusCodes.Status400BadRequest;
                await context.Response.WriteAsync("""{"error":true,"reason":"Parameter 'latitude' and 'longitude' must have the same number of elements"}""");
                return;
            }

            (byte[] packed, int length) = replies.GetOrAdd(context.Request.QueryString.Value ?? string.Empty, _ => Pack(asked));
            Interlocked.Add(ref places, asked.Places.Count);
            Interlocked.Add(ref bytes, length);
            context.Response.ContentType = "application/json; charset=utf-8";
            context.Response.Headers.ContentEncoding = "gzip";
            await context.Response.Body.WriteAsync(packed);
        }
        finally
        {
            Interlocked.Decrement(ref inFlight);
        }
    }

    private static (byte[] Packed, int Length) Pack(FakeForecastReply.Asked asked)
    {
        var json = new ArrayBufferWriter<byte>(asked.Places.Count * 40_000);
        FakeForecastReply.Write(asked, json);
        using var packed = new MemoryStream();
        using (var gzip = new GZipStream(packed, CompressionLevel.Fastest, leaveOpen: true))
        {
            gzip.Write(json.WrittenSpan);
        }

        return (packed.ToArray(), json.WrittenCount);
    }

    private static void InterlockedMax(ref int target, int value)
    {
        int seen;
        while ((seen = Volatile.Read(ref target)) < value && Interlocked.CompareExchange(ref target, value, seen) != seen)
        {
        }
    }
}
