using System.Text.Json;
using GraftWatch.Forecasts.Fetching;
using NodaTime;
using Refit;

namespace GraftWatch.Forecasts.OpenForecast;

/// <summary>When a model of the open forecast API last ran.</summary>
/// <param name="StartedAt">Initialisation time of the run: the age of what it knows.</param>
/// <param name="AvailableAt">When the service had it.</param>
/// <param name="Interval">Time between runs.</param>
public sealed record ModelRun(Instant StartedAt, Instant AvailableAt, Duration Interval)
{
    // The service itself calls a model late from then on.
    private static readonly Duration Grace = Duration.FromMinutes(20);

    /// <summary>Whether the next run should have come.</summary>
    public bool IsLate(Instant now) => now > AvailableAt + Interval + Grace;

    /// <summary>Reads the service's note about a model; null when it cannot be read.</summary>
    internal static ParsedBody<ModelRun> Read(ReadOnlyMemory<byte> body)
    {
        try
        {
            using var document = JsonDocument.Parse(body);
            return Seconds(document.RootElement, "last_run_initialisation_time") is { } started
                && Seconds(document.RootElement, "last_run_availability_time") is { } available
                && Seconds(document.RootElement, "update_interval_seconds") is { } interval
                ? new(new ModelRun(Instant.FromUnixTimeSeconds(started), Instant.FromUnixTimeSeconds(available), Duration.FromSeconds(interval)), null, false)
                : new(null, "the note about the model's last run lacks its times", false);
        }
        catch (JsonException)
        {
            return new(null, "the note about the model's last run is not valid JSON", true);
        }
    }

    private static long? Seconds(JsonElement root, string name) =>
        root.ValueKind == JsonValueKind.Object && root.TryGetProperty(name, out JsonElement value)
        && value.ValueKind == JsonValueKind.Number && value.TryGetInt64(out long seconds) && seconds is >= 0 and < 7_258_118_400
            ? seconds
            : null;
}

/// <summary>The service's notes about its models; not counted as calls.</summary>
internal interface IOpenModelApi
{
    [Get("/data/{model}/static/meta.json")]
    Task<HttpResponseMessage> MetaAsync(string model, CancellationToken cancellationToken);
}
