using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Forecasts.Fetching;
using GraftWatch.Forecasts.Tests.OpenForecast;
using NodaTime;
using WireMock.RequestBuilders;
using WireMock.ResponseBuilders;
using WireMock.Server;

namespace GraftWatch.Forecasts.Tests.UsWeatherService;

public sealed class UsWeatherSourceTests : IDisposable
{
    private static readonly Instant Now = Instant.FromUtc(2026, 4, 22, 18, 0);
    private static readonly Place Mesa = Stub.Place("Mesa", 35.198, -111.651, 2100);
    private readonly WireMockServer server = WireMockServer.Start();
    private readonly InMemoryReplyStore store = new();

    public void Dispose() => server.Dispose();

    [Fact]
    public async Task A_place_becomes_a_cell_and_the_cell_hours_and_the_cell_is_remembered()
    {
        Grid(200, Sample.Text("us-grid-frost-morning.json"));
        Point(Sample.Text("us-point.json"));
        PlaceWeather got = await FetchAsync();
        Assert.Null(got.Trouble);
        Assert.Equal(Instant.FromUtc(2026, 4, 22, 17, 13, 54), got.Forecast.IssuedAt);
        await FetchAsync();
        Assert.Equal(
            ["/points/35.198,-111.651", "/gridpoints/FGZ/74,89", "/gridpoints/FGZ/74,89"],
            server.LogEntries.Select(e => e.RequestMessage!.Path));
        var request = server.LogEntries[0].RequestMessage!;
        Assert.Equal(Services.Contact, request.Headers!["User-Agent"].Single());
        Assert.Equal("application/geo+json", request.Headers["Accept"].Single());
        Assert.DoesNotContain('?', request.Url!);
        Assert.DoesNotContain("%2C", request.Url!, StringComparison.OrdinalIgnoreCase);
    }

    [Fact]
    public async Task A_grid_that_has_been_moved_is_looked_up_again()
    {
        Point(Sample.Text("us-point.json"));
        Grid(200, Sample.Text("us-grid-frost-morning.json"));
        await FetchAsync();
        server.Reset();
        Grid(404, """{"title":"Marine Forecast Not Supported","status":404,"detail":"Forecasts for marine areas are not yet supported by this API."}""");
        Point(Sample.Text("us-point.json").Replace("\"gridX\":74", "\"gridX\":75", StringComparison.Ordinal));
        server.Given(Request.Create().WithPath("/gridpoints/FGZ/75,89")).RespondWith(Response.Create().WithStatusCode(200).WithBody(Sample.Text("us-grid-frost-morning.json")));
        Assert.Null((await FetchAsync()).Trouble);
    }

    [Fact]
    public async Task The_service_s_common_fault_is_tried_again()
    {
        Point(Sample.Text("us-point.json"));
        server.Given(Request.Create().WithPath("/gridpoints/FGZ/74,89")).InScenario("500").WillSetStateTo("well")
            .RespondWith(Response.Create().WithStatusCode(500).WithBody("""{"title":"Unexpected Problem","detail":"An unexpected problem has occurred."}"""));
        server.Given(Request.Create().WithPath("/gridpoints/FGZ/74,89")).InScenario("500").WhenStateIs("well")
            .RespondWith(Response.Create().WithStatusCode(200).WithBody(Sample.Text("us-grid-frost-morning.json")));
        Assert.Null((await FetchAsync()).Trouble);
    }

    [Theory]
    [InlineData(404, """{"title":"Data Unavailable For Requested Point","status":404,"detail":"Unable to provide data for requested point 90,120.5517605"}""", "(\"Unable to provide data for requested point 90,120.5517605\")")]
    [InlineData(200, """{"properties":{"gridId":"AER","gridX":null,"gridY":null}}""", "has no grid cell for this place")]
    [InlineData(200, """{"properties":{"gridId":"../x","gridX":1,"gridY":1}}""", "has no grid cell for this place")]
    [InlineData(503, """{"title":"Forecast Grid Expired","detail":"The requested forecast grid was issued 2020-02-11T02:50:40+00:00 and has expired."}""", "has expired")]
    public async Task Every_fault_of_the_lookup_is_a_sentence(int status, string body, string expected)
    {
        server.Given(Request.Create().WithPath("/points/*")).RespondWith(Response.Create().WithStatusCode(status).WithBody(body));
        Assert.Contains(expected, (await FetchAsync()).Trouble, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Text_for_the_grid_s_numbers_is_accepted()
    {
        Point(Sample.Text("us-point.json").Replace("\"gridX\":74,\"gridY\":89", "\"gridX\":\"74\",\"gridY\":\"89\"", StringComparison.Ordinal));
        Grid(200, Sample.Text("us-grid-frost-morning.json"));
        Assert.Null((await FetchAsync()).Trouble);
    }

    private void Point(string body) => server.Given(Request.Create().WithPath("/points/35.198,-111.651")).RespondWith(Response.Create().WithStatusCode(200).WithBody(body));

    private void Grid(int status, string body) => server.Given(Request.Create().WithPath("/gridpoints/FGZ/74,89")).RespondWith(Response.Create().WithStatusCode(status).WithBody(body));

    private Task<PlaceWeather> FetchAsync() => Services.FetchAsync(s => s.AddUsWeatherService(Services.Us(server.Url!)), Mesa, Now, store);
}
