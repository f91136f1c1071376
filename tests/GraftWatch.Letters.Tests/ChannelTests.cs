using System.Net;
using System.Net.Sockets;
using System.Text;
using System.Text.Json;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Letters.Channels;
using GraftWatch.Rounds.Ports;
using GraftWatch.Testing;
using GraftWatch.Testing.Mail;
using Microsoft.AspNetCore.Http;
using MQTTnet;
using MQTTnet.Protocol;
using MQTTnet.Server;
using NodaTime;
using StandardWebhooks;
using StandardWebhooks.Diagnostics;
using WireMock.RequestBuilders;
using WireMock.ResponseBuilders;
using WireMock.Server;

namespace GraftWatch.Letters.Tests;

public sealed class ChannelTests : IDisposable
{
    private const string Secret = "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw";
    private readonly WireMockServer server = WireMockServer.Start();

    [Fact]
    public async Task A_signed_post_verifies_with_the_specifications_own_library()
    {
        Answer(200);
        var target = new ChannelTarget.SignedPost("barn", true, new Uri(server.Url! + "/hook"), Secret);
        SealedLetter letter = Seal(target);

        DeliveryResult result = await DeliverAsync(target, letter);

        Assert.Equal(DeliveryOutcome.Accepted, result.Outcome);
        var request = Assert.Single(server.LogEntries).RequestMessage!;
        string Header(string name) => request.Headers![name].Single();
        var headers = new HeaderDictionary();
        foreach (string name in new[] { "webhook-id", "webhook-timestamp", "webhook-signature" })
        {
            headers[name] = Header(name);
        }

        new StandardWebhook(Secret).Verify(request.Body!, headers);
        Assert.Equal(letter.MessageId, Header("webhook-id"));
        Assert.Throws<WebhookVerificationException>(() => new StandardWebhook(Secret).Verify(request.Body + " ", headers));
    }

    [Fact]
    public void The_signature_is_that_of_the_specifications_example()
    {
        // The worked example of the Standard Webhooks libraries' own tests (msg_p5jXN8AQM9LWM0D4loKWxJek), from memory; recomputed here with the base library.
        byte[] key = Convert.FromBase64String("MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw");
        byte[] signed = Encoding.UTF8.GetBytes("msg_p5jXN8AQM9LWM0D4loKWxJek.1614265330.{\"test\": 2432232314}");
        string wanted = "v1," + Convert.ToBase64String(System.Security.Cryptography.HMACSHA256.HashData(key, signed));

        Assert.Equal("v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE=", wanted);
        Assert.Equal(wanted, WebhookSignature.Of(Secret, "msg_p5jXN8AQM9LWM0D4loKWxJek", 1614265330, "{\"test\": 2432232314}"u8));
    }

    [Fact]
    public void The_message_for_machines_reads_as_approved_and_is_the_same_every_time()
    {
        var target = new ChannelTarget.SignedPost("barn", true, new Uri("https://barn.example"), Secret);
        SealedLetter letter = Seal(target);

        Assert.True(letter.Bytes.Span.SequenceEqual(Seal(target).Bytes.Span));
        using JsonDocument json = JsonDocument.Parse(letter.Bytes);
        Approved.Text("message-json", JsonSerializer.Serialize(json, IndentedJson));
    }

    [Theory]
    [InlineData(200, DeliveryOutcome.Accepted, DeliveryReason.None)]
    [InlineData(204, DeliveryOutcome.Accepted, DeliveryReason.None)]
    [InlineData(301, DeliveryOutcome.GiveUp, DeliveryReason.Refused)]
    [InlineData(307, DeliveryOutcome.GiveUp, DeliveryReason.Refused)]
    [InlineData(400, DeliveryOutcome.GiveUp, DeliveryReason.Refused)]
    [InlineData(401, DeliveryOutcome.TryLater, DeliveryReason.SignIn)]
    [InlineData(403, DeliveryOutcome.TryLater, DeliveryReason.SignIn)]
    [InlineData(404, DeliveryOutcome.GiveUp, DeliveryReason.BadRecipient)]
    [InlineData(408, DeliveryOutcome.TryLater, DeliveryReason.ServerBusy)]
    [InlineData(410, DeliveryOutcome.GiveUp, DeliveryReason.BadRecipient)]
    [InlineData(413, DeliveryOutcome.GiveUp, DeliveryReason.Refused)]
    [InlineData(425, DeliveryOutcome.TryLater, DeliveryReason.ServerBusy)]
    [InlineData(429, DeliveryOutcome.TryLater, DeliveryReason.ServerBusy)]
    [InlineData(500, DeliveryOutcome.TryLater, DeliveryReason.ServerBusy)]
    [InlineData(503, DeliveryOutcome.TryLater, DeliveryReason.ServerBusy)]
    public async Task An_answer_ends_as_its_status_says_and_one_try_is_one_request(int status, DeliveryOutcome outcome, DeliveryReason reason)
    {
        Answer(status);
        ChannelTarget target = Push();

        DeliveryResult result = await DeliverAsync(target, Seal(target));

        Assert.Equal((outcome, reason), (result.Outcome, result.Reason));
        Assert.Single(server.LogEntries);
    }

    [Theory]
    [InlineData("120", 120)]
    [InlineData("86400", 3600)]
    [InlineData("soon", null)]
    [InlineData("-5", null)]
    public async Task A_wish_to_wait_is_passed_on_up_to_an_hour(string header, int? seconds)
    {
        server.Given(Request.Create().UsingPost()).RespondWith(Response.Create().WithStatusCode(429).WithHeader("Retry-After", header));
        ChannelTarget target = Push();

        DeliveryResult result = await DeliverAsync(target, Seal(target));

        Assert.Equal(seconds is { } s ? Duration.FromSeconds(s) : null, result.RetryAfter);
    }

    [Fact]
    public async Task A_short_text_carries_the_gateways_headers_and_stays_under_its_limit()
    {
        Answer(200);
        var target = new ChannelTarget.TextPost("phone", true, new Uri(server.Url!), new Dictionary<string, string> { ["X-Key"] = "abc", ["X-Bad"] = "a\r\nb" }, LimitBytes: 210);

        await DeliverAsync(target, Seal(target));

        var request = Assert.Single(server.LogEntries).RequestMessage!;
        Assert.Equal("abc", request.Headers!["X-Key"].Single());
        Assert.False(request.Headers.ContainsKey("X-Bad"));
        Assert.Equal(
            "Thu 14 May · shade 7 unions before 11:00, stake 3, slit 5 ties\nUrgent: Put padded paper sleeves on 7 unions in block B, row 2, before 11:00.\n… 4 more",
            request.Body);
    }

    [Fact]
    public void A_short_text_is_cut_between_characters_at_any_limit()
    {
        Round round = Some.Round() with { Advice = [.. Enumerable.Range(0, 40).Select(i => Some.Shade() with { Text = new string('果', i) })] };
        for (int limit = 160; limit < 700; limit++)
        {
            string text = ShortText.Of(round, LetterKind.Morning, limit);
            Assert.True(Encoding.UTF8.GetByteCount(text) <= limit);
            Assert.DoesNotContain('\uFFFD', text);
        }
    }

    [Fact]
    public async Task A_target_of_a_grower_that_leads_inside_is_given_up()
    {
        Answer(200);
        var target = new ChannelTarget.SignedPost("barn", MayBeInside: false, new Uri(server.Url!), Secret);

        DeliveryResult result = await DeliverAsync(target, Seal(target));

        Assert.Equal((DeliveryOutcome.GiveUp, DeliveryReason.Security), (result.Outcome, result.Reason));
        Assert.Empty(server.LogEntries);
    }

    [Theory]
    [InlineData("drip", DeliveryOutcome.Accepted)]
    [InlineData("silent", DeliveryOutcome.Unknown)]
    [InlineData("close", DeliveryOutcome.Unknown)]
    public async Task A_slow_or_broken_answer_ends_within_the_limit(string behaviour, DeliveryOutcome outcome)
    {
        using var raw = new TcpListener(IPAddress.Loopback, 0);
        raw.Start();
        Task serving = ServeAsync(raw, behaviour);
        var target = new ChannelTarget.SignedPost("barn", true, new Uri($"http://127.0.0.1:{((IPEndPoint)raw.LocalEndpoint).Port}/"), Secret);
        var watch = System.Diagnostics.Stopwatch.StartNew();

        DeliveryResult result = await DeliverAsync(target, Seal(target), TimeSpan.FromSeconds(1.5));

        Assert.Equal(outcome, result.Outcome);
        Assert.InRange(watch.Elapsed.TotalSeconds, 0, 6);
        raw.Stop();
        await serving;
    }

    [Fact]
    public async Task Nobody_listening_is_tried_again_later()
    {
        var target = new ChannelTarget.SignedPost("barn", true, new Uri($"http://127.0.0.1:{LoopbackMailServer.FreePort()}/"), Secret);

        Assert.Equal((DeliveryOutcome.TryLater, DeliveryReason.Connection), Pair(await DeliverAsync(target, Seal(target))));
    }

    [Fact]
    public async Task A_room_message_is_put_under_the_slots_transaction_however_often_it_is_tried()
    {
        server.Given(Request.Create().UsingPut()).InScenario("room").WillSetStateTo("up")
            .RespondWith(Response.Create().WithStatusCode(429).WithBody("{\"errcode\":\"M_LIMIT_EXCEEDED\",\"retry_after_ms\":2500}"));
        server.Given(Request.Create().UsingPut()).InScenario("room").WhenStateIs("up").RespondWith(Response.Create().WithStatusCode(200).WithBody("{\"event_id\":\"$1\"}"));
        var target = new ChannelTarget.Matrix("room", true, new Uri(server.Url!), "!abc/d:orchard.example", "secret-token");
        SealedLetter letter = Seal(target);

        DeliveryResult first = await DeliverAsync(target, letter);
        DeliveryResult second = await DeliverAsync(target, letter);

        Assert.Equal((DeliveryOutcome.TryLater, DeliveryReason.ServerBusy), Pair(first));
        Assert.Equal(Duration.FromMilliseconds(2500), first.RetryAfter);
        Assert.Contains("M_LIMIT_EXCEEDED", first.Detail, StringComparison.Ordinal);
        Assert.Equal(DeliveryOutcome.Accepted, second.Outcome);
        string path = Assert.Single(server.LogEntries.Select(e => e.RequestMessage!.AbsolutePath).Distinct());
        Assert.Contains("/_matrix/client/v3/rooms/", path, StringComparison.Ordinal);
        Assert.EndsWith("/send/m.room.message/" + letter.MessageId, path, StringComparison.Ordinal);
        Assert.All(server.LogEntries, e => Assert.Equal("Bearer secret-token", e.RequestMessage!.Headers!["Authorization"].Single()));
        using JsonDocument body = JsonDocument.Parse(letter.Bytes);
        Assert.Equal("m.text", body.RootElement.GetProperty("msgtype").GetString());
        Assert.StartsWith("Thu 14 May · shade 7 unions", body.RootElement.GetProperty("body").GetString(), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(401, "M_UNKNOWN_TOKEN", DeliveryOutcome.TryLater, DeliveryReason.SignIn)]
    [InlineData(403, "M_FORBIDDEN", DeliveryOutcome.GiveUp, DeliveryReason.Refused)]
    public async Task A_rooms_refusal_is_told_apart_from_a_bad_token(int status, string code, DeliveryOutcome outcome, DeliveryReason reason)
    {
        server.Given(Request.Create().UsingPut()).RespondWith(Response.Create().WithStatusCode(status).WithBody($"{{\"errcode\":\"{code}\"}}"));
        var target = new ChannelTarget.Matrix("room", true, new Uri(server.Url!), "!abc:orchard.example", "secret-token");

        DeliveryResult result = await DeliverAsync(target, Seal(target));

        Assert.Equal((outcome, reason), Pair(result));
        Assert.DoesNotContain("secret-token", result.Detail, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_broker_keeps_the_morning_retained_with_an_expiry_and_acknowledges_it()
    {
        await using Broker broker = await Broker.StartAsync();
        var target = new ChannelTarget.Mqtt("home", true, "127.0.0.1", broker.Port, "orchard/grafts") { Tls = false };
        SealedLetter letter = Seal(target);

        DeliveryResult result = await DeliverAsync(target, letter);

        Assert.Equal(DeliveryOutcome.Accepted, result.Outcome);
        MqttApplicationMessage kept = Assert.Single(broker.Published);
        Assert.Equal("orchard/grafts/morning", kept.Topic);
        Assert.True(kept.Retain);
        Assert.Equal(36u * 3600, kept.MessageExpiryInterval);
        Assert.Equal(MqttQualityOfServiceLevel.AtLeastOnce, kept.QualityOfServiceLevel);
        Assert.Equal(letter.Bytes.ToArray(), kept.Payload.FirstSpan.ToArray());
    }

    [Fact]
    public async Task A_broker_that_refuses_is_for_the_operator_and_none_at_all_is_tried_later()
    {
        await using Broker broker = await Broker.StartAsync(password: "right");
        var target = new ChannelTarget.Mqtt("home", true, "127.0.0.1", broker.Port, "orchard") { Tls = false, UserName = "u", Password = "wrong" };

        Assert.Equal((DeliveryOutcome.TryLater, DeliveryReason.SignIn), Pair(await DeliverAsync(target, Seal(target))));
        Assert.Equal(DeliveryOutcome.Accepted, (await DeliverAsync(target with { Password = "right" }, Seal(target))).Outcome);
        Assert.Equal((DeliveryOutcome.TryLater, DeliveryReason.Connection), Pair(await DeliverAsync(target with { Port = LoopbackMailServer.FreePort() }, Seal(target))));
        Assert.Equal((DeliveryOutcome.GiveUp, DeliveryReason.Security), Pair(await DeliverAsync(target with { MayBeInside = false }, Seal(target))));
        Assert.Equal((DeliveryOutcome.TryLater, DeliveryReason.NotSetUp), Pair(await DeliverAsync(target with { Topic = "a/#" }, Seal(target))));
    }

    [Fact]
    public async Task A_channel_the_settings_no_longer_have_is_named()
    {
        DeliveryResult result = await DeliverAsync(Push() with { Name = "other" }, Seal(Push()));

        Assert.Equal((DeliveryOutcome.TryLater, DeliveryReason.NotSetUp), Pair(result));
        Assert.Contains("phone", result.Detail, StringComparison.Ordinal);
    }

    [Fact]
    public void Every_channel_has_its_own_slot()
    {
        ChannelTarget[] targets = [Push(), Push() with { Name = "two" }];

        Assert.Equal(2, targets.Select(t => Seal(t).MessageId).Distinct().Count());
        Assert.NotEqual(Seal(targets[0]).Slot, Seal(targets[1]).Slot);
    }

    public void Dispose() => server.Dispose();

    private static readonly JsonSerializerOptions IndentedJson = new() { WriteIndented = true, Encoder = System.Text.Encodings.Web.JavaScriptEncoder.UnsafeRelaxedJsonEscaping };

    private static (DeliveryOutcome Outcome, DeliveryReason Reason) Pair(DeliveryResult result) => (result.Outcome, result.Reason);

    private ChannelTarget.TextPost Push() => new("phone", true, new Uri(server.Url! + "/push"), new Dictionary<string, string>());

    private static SealedLetter Seal(ChannelTarget target) =>
        MessageComposer.Compose(Some.Round(), Some.Grower(), target, new LetterRequest { Number = 12, Now = Some.Morning });

    private static async Task<DeliveryResult> DeliverAsync(ChannelTarget target, SealedLetter letter, TimeSpan? limit = null)
    {
        using var router = new ChannelRouter(new NoMail(), [target], new OutsideGuard(), TimeProvider.System, limit);
        return await router.DeliverAsync(letter, TestContext.Current.CancellationToken);
    }

    private void Answer(int status) => server.Given(Request.Create()).RespondWith(Response.Create().WithStatusCode(status));

    private static async Task ServeAsync(TcpListener listener, string behaviour)
    {
        try
        {
            using TcpClient client = await listener.AcceptTcpClientAsync(TestContext.Current.CancellationToken);
            await using NetworkStream stream = client.GetStream();
            byte[] request = new byte[64 * 1024];
            _ = await stream.ReadAsync(request);
            if (behaviour == "close")
            {
                return;
            }

            if (behaviour == "drip")
            {
                await stream.WriteAsync("HTTP/1.1 200 OK\r\nContent-Length: 100000\r\n\r\n"u8.ToArray());
            }

            for (int i = 0; i < 50; i++)
            {
                await Task.Delay(100);
                if (behaviour == "drip")
                {
                    await stream.WriteAsync("x"u8.ToArray());
                }
            }
        }
        catch (Exception e) when (e is IOException or SocketException or OperationCanceledException)
        {
        }
    }

    private sealed class NoMail : ILetterChannel
    {
        public Task<DeliveryResult> DeliverAsync(SealedLetter letter, CancellationToken cancellationToken) => throw new InvalidOperationException("not by mail");
    }

    private sealed class Broker : IAsyncDisposable
    {
        private readonly MqttServer server;

        private Broker(MqttServer server, int port)
        {
            this.server = server;
            Port = port;
        }

        public int Port { get; }

        public List<MqttApplicationMessage> Published { get; } = [];

        public static async Task<Broker> StartAsync(string? password = null)
        {
            int port = LoopbackMailServer.FreePort();
            var options = new MqttServerOptionsBuilder().WithDefaultEndpoint().WithDefaultEndpointBoundIPAddress(IPAddress.Loopback).WithDefaultEndpointPort(port).Build();
            var broker = new Broker(new MqttServerFactory().CreateMqttServer(options), port);
            broker.server.ValidatingConnectionAsync += e =>
            {
                if (password is not null && e.Password != password)
                {
                    e.ReasonCode = MqttConnectReasonCode.BadUserNameOrPassword;
                }

                return Task.CompletedTask;
            };
            broker.server.InterceptingPublishAsync += e =>
            {
                broker.Published.Add(e.ApplicationMessage);
                return Task.CompletedTask;
            };
            await broker.server.StartAsync();
            return broker;
        }

        public async ValueTask DisposeAsync()
        {
            await server.StopAsync();
            server.Dispose();
        }
    }
}
