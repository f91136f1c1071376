using System.Globalization;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Forecasts.Joining;
using GraftWatch.Forecasts.OpenForecast;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Rounds.Ports;
using Microsoft.Extensions.DependencyInjection;
using NodaTime;
using WireMock.RequestBuilders;
using WireMock.ResponseBuilders;
using WireMock.Server;

namespace GraftWatch.Forecasts.Tests.OpenForecast;

public sealed class OtherEndpointTests : IDisposable
{
    private readonly WireMockServer server = WireMockServer.Start();

    public void Dispose() => server.Dispose();

    [Theory]
    [InlineData(true, "/v1/archive", "soil_temperature_0_to_7cm")]
    [InlineData(false, "/v1/forecast", "soil_temperature_6cm")]
    public async Task Past_hours_are_asked_for_by_whole_UTC_days_and_cut_to_the_hour(bool archive, string path, string column)
    {
        server.Given(Request.Create().WithPath(path)).RespondWith(Response.Create().WithStatusCode(200).WithBody(Sample.Text("open-frost-morning.json")));
        using ServiceProvider provider = Services.Provider(s => s.AddOpenPast(Services.Past(server.Url!, archive)));
        PlaceWeather got = await provider.GetRequiredService<IPastWeatherSource>()
            .FetchPastAsync(Stub.Slope, Instant.FromUtc(2026, 4, 22, 3, 0), Instant.FromUtc(2026, 4, 22, 5, 30), TestContext.Current.CancellationToken);
        Assert.Equal(3, got.Weather!.Hours);
        Assert.Equal(WeatherOrigin.Analysed, got.Weather.OriginOf(WeatherQuantity.AirC, 2));
        string query = Uri.UnescapeDataString(server.LogEntries.Single().RequestMessage!.Url!);
        Assert.Contains("&start_date=2026-04-22&end_date=2026-04-22&timezone=GMT&timeformat=unixtime&wind_speed_unit=ms", query, StringComparison.Ordinal);
        Assert.Contains(column, query, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Members_include_the_control_run_and_not_one_that_stops_at_once()
    {
        string time = string.Join(',', Enumerable.Range(0, 48).Select(h => 1776830400 + (3600 * h)));
        string Column(string name, Func<int, string> value) => $"\"{name}\":[{string.Join(',', Enumerable.Range(0, 48).Select(value))}]";
        string body = SavedReplyTests.Reply(
            "\"temperature_2m\":\"°C\",\"temperature_2m_member01\":\"°C\",\"temperature_2m_member02\":\"°C\"",
            string.Join(',', Column("temperature_2m", _ => "1"), Column("temperature_2m_member01", _ => "2"), Column("temperature_2m_member02", h => h < 10 ? "3" : "null")),
            time);
        server.Given(Request.Create().WithPath("/v1/ensemble")).RespondWith(Response.Create().WithStatusCode(200).WithBody(body));
        using ServiceProvider provider = Services.Provider(s => s.AddOpenEnsemble(Services.Ensemble(server.Url!)));
        IReadOnlyList<HourlyWeather> members = await provider.GetRequiredService<IMemberSource>().FetchMembersAsync(Stub.Slope, Stub.Now, TestContext.Current.CancellationToken);
        Assert.Equal([1.0, 2.0], members.Select(m => m[WeatherQuantity.AirC][0]));
        Assert.Contains("models=ecmwf_ifs025_ensemble", server.LogEntries.Single().RequestMessage!.Url, StringComparison.Ordinal);
    }

    [Fact]
    public async Task An_ensemble_that_fails_leaves_a_single_run()
    {
        server.Given(Request.Create()).RespondWith(Response.Create().WithStatusCode(403));
        using ServiceProvider provider = Services.Provider(s => s.AddOpenEnsemble(Services.Ensemble(server.Url!)));
        Assert.Empty(await provider.GetRequiredService<IMemberSource>().FetchMembersAsync(Stub.Slope, Stub.Now, TestContext.Current.CancellationToken));
    }

    [Theory]
    [InlineData(1, false)]
    [InlineData(20, true)]
    public async Task The_age_of_a_forecast_is_that_of_the_model_run_behind_it(int hoursAgo, bool late)
    {
        Instant available = Stub.Now - Duration.FromHours(hoursAgo);
        string meta = string.Create(
            CultureInfo.InvariantCulture,
            $$"""{"last_run_initialisation_time":{{(available - Duration.FromHours(3)).ToUnixTimeSeconds()}},"last_run_availability_time":{{available.ToUnixTimeSeconds()}},"update_interval_seconds":10800}""");
        server.Given(Request.Create().WithPath("/data/dwd_icon/static/meta.json")).RespondWith(Response.Create().WithStatusCode(200).WithBody(meta));
        server.Given(Request.Create().WithPath("/v1/forecast")).RespondWith(Response.Create().WithStatusCode(200).WithBody(Sample.Text("open-frost-morning.json")));
        using ServiceProvider provider = Stub.Provider(Stub.Options(new Uri(server.Url!)) with { RunOf = "dwd_icon" });
        PlaceWeather got = await provider.GetRequiredService<IWeatherSource>().FetchAsync(Stub.Slope, Stub.Now, TestContext.Current.CancellationToken);
        Assert.Equal(available, got.Forecast.IssuedAt);
        Assert.Equal(late, got.Forecast.Gaps.Any(g => g.Contains("its next run is overdue", StringComparison.Ordinal)));
    }

    [Theory]
    [InlineData("{}")]
    [InlineData("[]")]
    [InlineData("{\"last_run_initialisation_time\":\"x\"}")]
    [InlineData("")]
    public void A_note_about_a_model_that_cannot_be_read_is_no_exception(string json) =>
        Assert.Null(ModelRun.Read(System.Text.Encoding.UTF8.GetBytes(json)).Value);
}
