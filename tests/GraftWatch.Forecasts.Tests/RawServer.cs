using System.Net;
using System.Net.Sockets;
using System.Text;

namespace GraftWatch.Forecasts.Tests;

/// <summary>A server that says exactly the bytes it is told, at the pace it is told, and may hang up at any point.</summary>
internal sealed class RawServer : IAsyncDisposable
{
    private readonly TcpListener listener = new(IPAddress.Loopback, 0);
    private readonly CancellationTokenSource stop = new();
    private readonly Task loop;
    private int connections;

    public RawServer(Func<NetworkStream, Socket, int, CancellationToken, Task> answer)
    {
        listener.Start();
        loop = RunAsync(answer);
    }

    public Uri Url => new($"http://127.0.0.1:{((IPEndPoint)listener.LocalEndpoint).Port}");

    public int Connections => connections;

    public static byte[] Head(string headers) => Encoding.ASCII.GetBytes("HTTP/1.1 200 OK\r\nContent-Type: application/json\r\nConnection: close\r\n" + headers + "\r\n\r\n");

    public async ValueTask DisposeAsync()
    {
        await stop.CancelAsync();
        listener.Stop();
        try
        {
            await loop;
        }
        catch (Exception e) when (e is SocketException or OperationCanceledException or ObjectDisposedException)
        {
        }

        stop.Dispose();
    }

    private async Task RunAsync(Func<NetworkStream, Socket, int, CancellationToken, Task> answer)
    {
        while (!stop.IsCancellationRequested)
        {
            Socket socket = await listener.AcceptSocketAsync(stop.Token);
            int number = Interlocked.Increment(ref connections);
            _ = ServeAsync(socket, number, answer);
        }
    }

    private async Task ServeAsync(Socket socket, int number, Func<NetworkStream, Socket, int, CancellationToken, Task> answer)
    {
        using (socket)
        {
            try
            {
                await using var stream = new NetworkStream(socket);
                var request = new byte[8192];
                _ = await stream.ReadAsync(request, stop.Token);
                await answer(stream, socket, number, stop.Token);
            }
            catch (Exception e) when (e is IOException or SocketException or OperationCanceledException)
            {
            }
        }
    }
}
