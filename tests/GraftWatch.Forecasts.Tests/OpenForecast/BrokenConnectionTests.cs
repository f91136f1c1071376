using System.Diagnostics;
using System.Net.Sockets;
using System.Text;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Rounds.Ports;
using Microsoft.Extensions.DependencyInjection;
using NodaTime;

namespace GraftWatch.Forecasts.Tests.OpenForecast;

/// <summary>What a mocked server cannot do: resets, half bodies, wrong lengths, bytes that drip.</summary>
public sealed class BrokenConnectionTests
{
    private static readonly byte[] Whole = Sample.Bytes("open-frost-morning.json");

    [Fact]
    public async Task A_body_that_drips_ends_at_the_deadline()
    {
        await using var server = new RawServer(async (stream, _, _, stop) =>
        {
            await stream.WriteAsync(RawServer.Head($"Content-Length: {Whole.Length}"), stop);
            foreach (byte b in Whole)
            {
                await stream.WriteAsync(new[] { b }, stop);
                await Task.Delay(100, stop);
            }
        });
        long start = Stopwatch.GetTimestamp();
        PlaceWeather got = await FetchAsync(server.Url, attemptS: 0.7, totalS: 3);
        Assert.Contains("gave no whole answer within", got.Trouble, StringComparison.Ordinal);
        Assert.InRange(Stopwatch.GetElapsedTime(start).TotalSeconds, 0.7, 6);
    }

    [Fact]
    public async Task An_answer_later_than_the_deadline_is_tried_again()
    {
        await using var server = new RawServer(async (stream, _, number, stop) =>
        {
            await Task.Delay(number == 1 ? 60_000 : 0, stop);
            await stream.WriteAsync(RawServer.Head($"Content-Length: {Whole.Length}"), stop);
            await stream.WriteAsync(Whole, stop);
        });
        Assert.Null((await FetchAsync(server.Url, attemptS: 1.5)).Trouble);
        Assert.True(server.Connections > 1);
    }

    [Fact]
    public async Task A_reset_in_the_middle_is_tried_again()
    {
        await using var server = new RawServer(async (stream, socket, number, stop) =>
        {
            await stream.WriteAsync(RawServer.Head($"Content-Length: {Whole.Length}"), stop);
            if (number == 1)
            {
                await stream.WriteAsync(Whole.AsMemory(0, 500), stop);
                socket.LingerState = new LingerOption(true, 0);
                socket.Close();
                return;
            }

            await stream.WriteAsync(Whole, stop);
        });
        PlaceWeather got = await FetchAsync(server.Url);
        Assert.Null(got.Trouble);
        Assert.Equal(2, server.Connections);
    }

    [Fact]
    public async Task Half_a_body_is_never_taken_for_the_whole()
    {
        await using var server = new RawServer(async (stream, _, _, stop) =>
        {
            await stream.WriteAsync(RawServer.Head($"Content-Length: {Whole.Length}"), stop);
            await stream.WriteAsync(Whole.AsMemory(0, Whole.Length / 2), stop);
        });
        PlaceWeather got = await FetchAsync(server.Url);
        Assert.Null(got.Weather);
        Assert.Contains("broke off in the middle of its reply", got.Trouble, StringComparison.Ordinal);
        Assert.Equal(3, server.Connections);
    }

    [Fact]
    public async Task A_chunked_body_that_stops_between_chunks_is_never_taken_for_the_whole()
    {
        await using var server = new RawServer(async (stream, _, _, stop) =>
        {
            await stream.WriteAsync(RawServer.Head("Transfer-Encoding: chunked"), stop);
            await stream.WriteAsync(Encoding.ASCII.GetBytes($"{Whole.Length:x}\r\n"), stop);
            await stream.WriteAsync(Whole, stop);
            await stream.WriteAsync("\r\n"u8.ToArray(), stop);
        });
        Assert.Null((await FetchAsync(server.Url)).Weather);
    }

    [Fact]
    public async Task Garbage_instead_of_HTTP_is_a_sentence()
    {
        await using var server = new RawServer(async (stream, _, _, stop) => await stream.WriteAsync("hello\r\n\r\n"u8.ToArray(), stop));
        Assert.NotNull((await FetchAsync(server.Url)).Trouble);
    }

    [Fact]
    public async Task Hanging_up_without_a_word_is_a_sentence()
    {
        await using var server = new RawServer((_, _, _, _) => Task.CompletedTask);
        Assert.NotNull((await FetchAsync(server.Url)).Trouble);
    }

    private static async Task<PlaceWeather> FetchAsync(Uri url, double attemptS = 8, double totalS = 30)
    {
        using ServiceProvider provider = Stub.Provider(
            Stub.Options(url) with { AttemptTimeout = Duration.FromSeconds(attemptS), TotalTimeout = Duration.FromSeconds(totalS) });
        return await provider.GetRequiredService<IWeatherSource>().FetchAsync(Stub.Slope, Stub.Now, TestContext.Current.CancellationToken);
    }
}
