using System.Collections.Concurrent;
using System.Globalization;
using System.Net;
using System.Net.Sockets;
using System.Text;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Crash.Watching;

/// <summary>Answers as the open forecast API does, with invented frosty weather that depends only on the hour and the day it is asked; can kill the program in the middle of an answer.</summary>
public sealed class WeatherService : IAsyncDisposable
{
    private static readonly Dictionary<string, (string Unit, double Mean, double Swing)> Columns = new(StringComparer.Ordinal)
    {
        ["temperature_2m"] = ("°C", 5, 7),
        ["relative_humidity_2m"] = ("%", 70, -20),
        ["dew_point_2m"] = ("°C", -3, 1),
        ["cloud_cover"] = ("%", 50, 10),
        ["wind_speed_10m"] = ("m/s", 3, 1),
        ["wind_gusts_10m"] = ("m/s", 6, 2),
        ["wind_direction_10m"] = ("°", 200, 20),
        ["shortwave_radiation"] = ("W/m²", 0, 600),
        ["direct_radiation"] = ("W/m²", 0, 400),
        ["diffuse_radiation"] = ("W/m²", 0, 200),
        ["direct_normal_irradiance"] = ("W/m²", 0, 600),
        ["precipitation"] = ("mm", 0, 0),
        ["snowfall"] = ("cm", 0, 0),
        ["soil_temperature_0cm"] = ("°C", 12, 5),
        ["soil_temperature_6cm"] = ("°C", 11, 2),
        ["soil_temperature_18cm"] = ("°C", 10, 0),
        ["soil_moisture_3_to_9cm"] = ("m³/m³", 0.28, 0),
        ["et0_fao_evapotranspiration"] = ("mm", 0, 0.4),
        ["surface_pressure"] = ("hPa", 968, 1),
    };

    private readonly TcpListener listener = new(IPAddress.Loopback, 0);
    private readonly CancellationTokenSource stop = new();
    private readonly Func<Instant> clock;
    private readonly ConcurrentDictionary<(string Query, LocalDate Today, bool Surprise), byte[]> kept = new();
    private readonly Task accepting;
    private Action? half;
    private int requests;

    /// <summary>Starts the service.</summary>
    public WeatherService(Func<Instant> clock)
    {
        this.clock = clock;
        listener.Start();
        accepting = AcceptAsync();
    }

    /// <summary>Whether a hard frost that nobody foresaw in the morning is in the forecast from noon UTC of this day on.</summary>
    internal static bool IsSurprising(LocalDate day) => day.DayOfYear % 3 == 0;

    /// <summary>While it says so, every request is answered 503.</summary>
    public Func<bool> AwayWhen { get; set; } = () => false;

    /// <summary>Its address.</summary>
    public Uri Address => new(string.Create(CultureInfo.InvariantCulture, $"http://127.0.0.1:{((IPEndPoint)listener.LocalEndpoint).Port}"));

    /// <summary>Requests so far.</summary>
    public int Requests => Volatile.Read(ref requests);

    /// <summary>Done once, when half of the next answer is out.</summary>
    public void AtHalf(Action? what) => half = what;

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        await stop.CancelAsync();
        listener.Stop();
        await accepting;
        stop.Dispose();
    }

    private async Task AcceptAsync()
    {
        try
        {
            while (true)
            {
                TcpClient client = await listener.AcceptTcpClientAsync(stop.Token);
                client.NoDelay = true;
                _ = AnswerAsync(client);
            }
        }
        catch (Exception e) when (e is OperationCanceledException or SocketException or ObjectDisposedException)
        {
        }
    }

    private async Task AnswerAsync(TcpClient client)
    {
        using (client)
        {
            try
            {
                using var reader = new StreamReader(client.GetStream(), Encoding.ASCII, leaveOpen: true);
                string? request = await reader.ReadLineAsync(stop.Token);
                while (await reader.ReadLineAsync(stop.Token) is { Length: > 0 })
                {
                }

                Interlocked.Increment(ref requests);
                byte[] body = request is null || AwayWhen() ? [] : Body(request.Split(' ')[1]);
                string status = AwayWhen() ? "503 Service Unavailable" : body.Length == 0 ? "404 Not Found" : "200 OK";
                byte[] head = Encoding.ASCII.GetBytes(string.Create(CultureInfo.InvariantCulture, $"HTTP/1.1 {status}\r\nContent-Type: application/json\r\nContent-Length: {body.Length}\r\nConnection: close\r\n\r\n"));
                await client.GetStream().WriteAsync(head, stop.Token);
                await client.GetStream().WriteAsync(body.AsMemory(0, body.Length / 2), stop.Token);
                if (body.Length > 0)
                {
                    Interlocked.Exchange(ref half, null)?.Invoke();
                }

                await client.GetStream().WriteAsync(body.AsMemory(body.Length / 2), stop.Token);
            }
            catch (Exception e) when (e is IOException or SocketException or OperationCanceledException or ObjectDisposedException)
            {
            }
        }
    }

    private byte[] Body(string target)
    {
        LocalDateTime now = clock().InUtc().LocalDateTime;
        LocalDate today = now.Date;
        bool surprise = IsSurprising(today) && now.Hour >= 12;
        return target.StartsWith("/v1/forecast?", StringComparison.Ordinal) || target.StartsWith("/v1/archive?", StringComparison.Ordinal) ? kept.GetOrAdd((target, today, surprise), key => Write(key.Query, key.Today, key.Surprise)) : [];
    }

    private static byte[] Write(string target, LocalDate today, bool surprise)
    {
        Dictionary<string, string> query = target[(target.IndexOf('?', StringComparison.Ordinal) + 1)..].Split('&')
            .Select(pair => pair.Split('='))
            .ToDictionary(pair => pair[0], pair => Uri.UnescapeDataString(pair[1]), StringComparer.Ordinal);
        string[] latitudes = query["latitude"].Split(','), longitudes = query["longitude"].Split(','), heights = query["elevation"].Split(','), names = query["hourly"].Split(',');
        LocalDate firstDay = query.TryGetValue("start_date", out string? start) ? LocalDatePattern.Iso.Parse(start).Value : today.PlusDays(-Days(query, "past_days"));
        LocalDate lastDay = query.TryGetValue("end_date", out string? end) ? LocalDatePattern.Iso.Parse(end).Value : today.PlusDays(Days(query, "forecast_days") - 1);
        long first = firstDay.AtMidnight().InUtc().ToInstant().ToUnixTimeSeconds();
        int firstFrost = surprise ? (24 * Period.DaysBetween(firstDay, today)) + 18 : int.MaxValue - 100;
        int hours = 24 * (1 + Period.DaysBetween(firstDay, lastDay));
        var shared = new StringBuilder("\"hourly_units\":{\"time\":\"unixtime\"");
        foreach (string name in names)
        {
            shared.Append(CultureInfo.InvariantCulture, $",\"{name}\":\"{Columns[name].Unit}\"");
        }

        shared.Append("},\"hourly\":{\"time\":[").AppendJoin(',', Enumerable.Range(0, hours).Select(hour => first + (3600L * hour))).Append(']');
        foreach (string name in names)
        {
            (_, double mean, double swing) = Columns[name];
            shared.Append(CultureInfo.InvariantCulture, $",\"{name}\":[").AppendJoin(',', Enumerable.Range(0, hours).Select(hour => (Value(mean, swing, hour, today) - (name.EndsWith("_2m", StringComparison.Ordinal) && mean < 70 && hour >= firstFrost && hour < firstFrost + 36 ? 14 : 0)).ToString("0.##", CultureInfo.InvariantCulture))).Append(']');
        }

        shared.Append("}}");
        IEnumerable<string> places = latitudes.Select((latitude, i) => string.Create(
            CultureInfo.InvariantCulture,
            $"{{\"latitude\":{latitude},\"longitude\":{longitudes[i]},\"generationtime_ms\":0.4,\"utc_offset_seconds\":0,\"timezone\":\"GMT\",\"timezone_abbreviation\":\"GMT\",\"elevation\":{heights[i]},{(i == 0 ? string.Empty : $"\"location_id\":{i},")}{shared}"));
        string json = string.Join(',', places);
        return Encoding.UTF8.GetBytes(latitudes.Length > 1 ? $"[{json}]" : json);
    }

    private static int Days(Dictionary<string, string> query, string name) => int.Parse(query[name], CultureInfo.InvariantCulture);

    // Each day's run differs a little from the last, as those of services do; sums of an hour never go below nothing.
    private static double Value(double mean, double swing, int hour, LocalDate today)
    {
        double value = mean + (swing * (Math.Sin(2 * Math.PI * (hour - 8) / 24.0) + (0.1 * Math.Sin((hour % 24) + today.DayOfYear))));
        return mean == 0 ? Math.Max(0, value) : value;
    }
}
