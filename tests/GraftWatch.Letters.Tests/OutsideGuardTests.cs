using System.Net;
using System.Net.Sockets;
using GraftWatch.Letters.Channels;
using WireMock.RequestBuilders;
using WireMock.ResponseBuilders;
using WireMock.Server;

namespace GraftWatch.Letters.Tests;

/// <summary>Addresses against the IANA special-purpose registries (RFC 6890 and its successors), connections against real sockets.</summary>
public sealed class OutsideGuardTests : IDisposable
{
    private readonly WireMockServer server = WireMockServer.Start();

    [Theory]
    [InlineData("0.0.0.0")]
    [InlineData("10.1.2.3")]
    [InlineData("100.64.0.1")]
    [InlineData("100.127.255.255")]
    [InlineData("127.0.0.1")]
    [InlineData("127.255.1.2")]
    [InlineData("169.254.169.254")]
    [InlineData("172.16.0.1")]
    [InlineData("172.31.255.255")]
    [InlineData("192.0.0.8")]
    [InlineData("192.0.2.1")]
    [InlineData("192.88.99.1")]
    [InlineData("192.168.0.1")]
    [InlineData("198.18.0.1")]
    [InlineData("198.19.255.255")]
    [InlineData("198.51.100.7")]
    [InlineData("203.0.113.9")]
    [InlineData("224.0.0.1")]
    [InlineData("240.0.0.1")]
    [InlineData("255.255.255.255")]
    [InlineData("::")]
    [InlineData("::1")]
    [InlineData("::ffff:127.0.0.1")]
    [InlineData("::ffff:10.0.0.1")]
    [InlineData("::127.0.0.1")]
    [InlineData("64:ff9b::7f00:1")]
    [InlineData("64:ff9b::a00:1")]
    [InlineData("64:ff9b:1::1")]
    [InlineData("100::1")]
    [InlineData("2001::1")]
    [InlineData("2001:db8::1")]
    [InlineData("2002:7f00:1::1")]
    [InlineData("3fff::1")]
    [InlineData("fc00::1")]
    [InlineData("fd12:3456::1")]
    [InlineData("fe80::1")]
    [InlineData("fec0::1")]
    [InlineData("ff02::1")]
    public void An_address_that_is_not_of_the_public_internet_is_inside(string address) => Assert.False(OutsideGuard.IsPublic(IPAddress.Parse(address)));

    [Theory]
    [InlineData("1.1.1.1")]
    [InlineData("100.63.255.255")]
    [InlineData("100.128.0.1")]
    [InlineData("172.15.0.1")]
    [InlineData("172.32.0.1")]
    [InlineData("192.0.1.1")]
    [InlineData("198.17.0.1")]
    [InlineData("223.255.255.255")]
    [InlineData("::ffff:1.1.1.1")]
    [InlineData("64:ff9b::101:101")]
    [InlineData("2606:4700::1111")]
    [InlineData("2a00:1450::1")]
    public void A_public_address_is_outside(string address) => Assert.True(OutsideGuard.IsPublic(IPAddress.Parse(address)));

    [Theory]
    [InlineData("127.0.0.1")]
    [InlineData("localhost")]
    [InlineData("2130706433")]
    [InlineData("0x7f000001")]
    [InlineData("0177.0.0.1")]
    [InlineData("127.1")]
    [InlineData("[::1]")]
    [InlineData("[::ffff:127.0.0.1]")]
    [InlineData("[::ffff:7f00:1]")]
    public async Task No_spelling_of_the_loopback_address_is_connected_to(string host)
    {
        using var client = new HttpClient(new OutsideGuard().CreateHandler());

        HttpRequestException error = await Assert.ThrowsAsync<HttpRequestException>(() => client.GetAsync(new Uri($"http://{host}:{server.Port}/"), TestContext.Current.CancellationToken));

        Assert.IsType<OutsideRefusedException>(error.InnerException);
        Assert.Empty(server.LogEntries);
    }

    [Fact]
    public async Task A_name_with_one_answer_inside_is_refused_whole()
    {
        var guard = new OutsideGuard(resolve: (_, _) => Task.FromResult<IPAddress[]>([IPAddress.Parse("1.1.1.1"), IPAddress.Loopback]));

        await Assert.ThrowsAsync<OutsideRefusedException>(() => guard.ResolveAsync("two-faced.example", mayBeInside: false, TestContext.Current.CancellationToken));
    }

    [Fact]
    public async Task A_name_is_asked_once_and_the_checked_answer_is_the_one_connected_to()
    {
        int asked = 0;
        var guard = new OutsideGuard(["pinned.example"], (_, _) => Task.FromResult<IPAddress[]>(++asked == 1 ? [IPAddress.Loopback] : [IPAddress.Parse("127.0.0.2")]));
        using var client = new HttpClient(guard.CreateHandler());
        server.Given(Request.Create().UsingGet()).RespondWith(Response.Create().WithStatusCode(200));

        await client.GetAsync(new Uri($"http://pinned.example:{server.Port}/"), TestContext.Current.CancellationToken);

        Assert.Equal(1, asked);
    }

    [Fact]
    public async Task A_redirect_into_the_network_is_refused_even_by_a_client_that_follows_redirects()
    {
        server.Given(Request.Create().WithPath("/out")).RespondWith(Response.Create().WithStatusCode(307).WithHeader("Location", $"http://127.0.0.1:{server.Port}/in"));
        server.Given(Request.Create().WithPath("/in")).RespondWith(Response.Create().WithStatusCode(200));
        var guard = new OutsideGuard(["allowed.example"], (_, _) => Task.FromResult<IPAddress[]>([IPAddress.Loopback]));
        using SocketsHttpHandler handler = guard.CreateHandler();
        Assert.False(handler.AllowAutoRedirect);
        handler.AllowAutoRedirect = true;
        using var client = new HttpClient(handler);

        HttpRequestException error = await Assert.ThrowsAsync<HttpRequestException>(() => client.GetAsync(new Uri($"http://allowed.example:{server.Port}/out"), TestContext.Current.CancellationToken));

        Assert.IsType<OutsideRefusedException>(error.InnerException);
        Assert.DoesNotContain(server.LogEntries, e => e.RequestMessage!.Path == "/in");
    }

    [Fact]
    public async Task The_operators_own_targets_may_be_inside()
    {
        server.Given(Request.Create().UsingGet()).RespondWith(Response.Create().WithStatusCode(204));
        using var client = new HttpClient(new OutsideGuard().CreateHandler(mayBeInside: true));

        Assert.Equal(HttpStatusCode.NoContent, (await client.GetAsync(new Uri(server.Url!), TestContext.Current.CancellationToken)).StatusCode);
    }

    [Fact]
    public async Task A_name_without_an_answer_is_no_connection() =>
        await Assert.ThrowsAsync<SocketException>(() => new OutsideGuard(resolve: (_, _) => Task.FromResult<IPAddress[]>([])).ResolveAsync("nobody.example", false, TestContext.Current.CancellationToken));

    [Theory]
    [InlineData("ftp://a.example/")]
    [InlineData("file:///etc/passwd")]
    [InlineData("gopher://a.example/")]
    [InlineData("https://me:pw@a.example/")]
    [InlineData("https://a.example/#part")]
    public void A_strange_address_is_refused_with_a_sentence(string address) => Assert.NotNull(OutsideGuard.Check(new Uri(address)));

    public void Dispose() => server.Dispose();
}
