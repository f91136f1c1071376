using System.Collections.Concurrent;
using System.Net;
using GraftWatch.Testing.Mail;
using MQTTnet;
using MQTTnet.Server;

namespace GraftWatch.EndToEnd.Tests.Serving;

/// <summary>A real MQTT broker on the loopback address.</summary>
internal sealed class ServeBroker : IAsyncDisposable
{
    private readonly MqttServer server;
    private readonly ConcurrentQueue<MqttApplicationMessage> published = new();

    private ServeBroker(MqttServer server, int port)
    {
        this.server = server;
        Port = port;
        server.InterceptingPublishAsync += e =>
        {
            published.Enqueue(e.ApplicationMessage);
            return Task.CompletedTask;
        };
    }

    internal int Port { get; }

    internal IReadOnlyCollection<MqttApplicationMessage> Published => published;

    internal static async Task<ServeBroker> StartAsync()
    {
        int port = LoopbackMailServer.FreePort();
        MqttServerOptions options = new MqttServerOptionsBuilder().WithDefaultEndpoint().WithDefaultEndpointBoundIPAddress(IPAddress.Loopback).WithDefaultEndpointPort(port).Build();
        var broker = new ServeBroker(new MqttServerFactory().CreateMqttServer(options), port);
        await broker.server.StartAsync();
        return broker;
    }

    public async ValueTask DisposeAsync()
    {
        await server.StopAsync();
        server.Dispose();
    }
}
