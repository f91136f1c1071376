using System.Globalization;
using System.Net;
using System.Net.Sockets;
using System.Text;

namespace GraftWatch.EndToEnd.Tests.Checks;

/// <summary>Answers every request on loopback alike, with a Date of the test's: servers of the framework write their own.</summary>
internal sealed class PlainHttpServer : IDisposable
{
    private readonly TcpListener listener = new(IPAddress.Loopback, 0);
    private (int Status, string Body) answer = (404, "nothing here");

    internal PlainHttpServer()
    {
        listener.Start();
        _ = Task.Run(ServeAsync);
    }

    internal int Port => ((IPEndPoint)listener.LocalEndpoint).Port;

    internal string Url => string.Create(CultureInfo.InvariantCulture, $"http://localhost:{Port}");

    internal DateTimeOffset? Date { get; set; }

    internal void Answer(int status, string body) => answer = (status, body);

    public void Dispose() => listener.Dispose();

    private async Task ServeAsync()
    {
        try
        {
            while (true)
            {
                TcpClient client = await listener.AcceptTcpClientAsync();
                _ = Task.Run(() => AnswerAsync(client));
            }
        }
        catch (Exception closed) when (closed is ObjectDisposedException or SocketException or InvalidOperationException)
        {
            // The test is over.
        }
    }

    private async Task AnswerAsync(TcpClient client)
    {
        try
        {
            using (client)
            using (NetworkStream stream = client.GetStream())
            using (var reader = new StreamReader(stream, Encoding.Latin1, leaveOpen: true))
            {
                while (await reader.ReadLineAsync() is { Length: > 0 })
                {
                }

                (int status, string body) = answer;
                byte[] bytes = Encoding.UTF8.GetBytes(body);
                string date = Date is { } at ? $"Date: {at.ToString("R", CultureInfo.InvariantCulture)}\r\n" : string.Empty;
                string head = string.Create(CultureInfo.InvariantCulture, $"HTTP/1.1 {status} x\r\n{date}Content-Type: application/json\r\nContent-Length: {bytes.Length}\r\nConnection: close\r\n\r\n");
                await stream.WriteAsync(Encoding.Latin1.GetBytes(head));
                await stream.WriteAsync(bytes);
            }
        }
        catch (IOException)
        {
            // The client went away.
        }
    }
}
