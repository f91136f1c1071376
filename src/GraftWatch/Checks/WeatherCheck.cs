using System.Net.Http.Headers;
using System.Runtime.CompilerServices;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Forecasts;
using GraftWatch.Inputs;
using GraftWatch.Rounds.Ports;
using GraftWatch.Settings.Installation;
using NodaTime;

namespace GraftWatch.Checks;

/// <summary>Asks the weather sources for every place, as a letter would, and says who answered, how old it is and how far it reaches.</summary>
/// <remarks>Kept hours are left aside on purpose: the question is who answers now. Many places are asked at once and told together.</remarks>
internal sealed class WeatherCheck : ICheck
{
    private const int MostPlacesToldOneByOne = 12;

    public string Subject => "weather";

    public async IAsyncEnumerable<CheckLine> RunAsync(CheckScope scope, [EnumeratorCancellation] CancellationToken cancellationToken)
    {
        WeatherSettings weather = scope.Installation.Weather;
        foreach (string source in weather.Sources.Concat(weather.SourcesOfPlace.Values.SelectMany(order => order)).Distinct(StringComparer.Ordinal).Where(source => source != "open-meteo" && weather.Contact.Length == 0))
        {
            yield return new CheckLine(Subject, CheckVerdict.Wrong, $"weather.contact: {source} answers nobody who gives no contact.", "Write a mail address or page by which you can be reached: contact = \"ada@example.org\".");
        }

        var services = new ServiceCollection();
        services.AddLogging();
        services.AddSingleton(TimeProvider.System); // deadlines and pauses of the network are real seconds
        services.ConfigureHttpClientDefaults(client => client.AddHttpMessageHandler(() => new DateNoting(scope)));
        WeatherSetup setup = InstalledWeather.Setup(weather, scope.Surroundings.Environment) with { WithEnsemble = false };
        services.AddWeather(scope.Surroundings.Sources(setup));
        await using ServiceProvider provider = services.BuildServiceProvider();
        IBatchWeatherSource batch = provider.GetRequiredService<IBatchWeatherSource>();
        IReadOnlyList<PlaceWeather> answers = scope.Installation.Places.Count == 0
            ? []
            : await batch.FetchManyAsync(scope.Installation.Places, scope.Terminal.Now(), cancellationToken).ConfigureAwait(false);
        foreach (CheckLine line in Told(weather, answers, scope.Terminal.Now()))
        {
            yield return line;
        }
    }

    private IEnumerable<CheckLine> Told(WeatherSettings weather, IReadOnlyList<PlaceWeather> answers, Instant now)
    {
        CheckLine[] lines = [.. answers.Select(answer => Answer(answer, OrderOf(weather, answer.Place), now))];
        CheckLine[] fine = [.. lines.Where(line => line.Verdict == CheckVerdict.Fine)];
        if (fine.Length <= MostPlacesToldOneByOne)
        {
            return lines;
        }

        return lines.Where(line => line.Verdict != CheckVerdict.Fine).Prepend(fine[0] with { What = $"{fine[0].What} {fine.Length - 1} further places likewise." });
    }

    private CheckLine Answer(PlaceWeather answer, string order, Instant now)
    {
        if (answer.Weather is not { } hours)
        {
            return new CheckLine(
                Subject, CheckVerdict.Failed, $"weather.sources, weather.address: {order}, for {answer.Place.Name}: {InstallationCheck.OneLine(answer.Trouble is { } trouble ? trouble.TrimEnd('.', '?') : "no hours")}.",
                "serve keeps trying, and letters say what could not be checked; if it lasts, look at address, contact and the line, or name a second service in sources.");
        }

        string age = answer.Forecast.IssuedAt is { } issued ? $"of {InstantWords(issued)}, {Math.Max(0, (now - issued).TotalHours):0.#} h old" : "of unknown age";
        string words = $"{answer.Place.Name}: {answer.Forecast.Source} answers, {age}; {hours.Hours} hours to {InstantWords(hours.LastHourEnd)}.";
        string[] remarks = [.. answer.Forecast.Gaps.Where(gap => gap.Contains("failed:", StringComparison.Ordinal) || (gap.Contains("station file", StringComparison.Ordinal) && !gap.EndsWith("is not there.", StringComparison.Ordinal)))];
        return remarks.Length == 0
            ? new CheckLine(Subject, CheckVerdict.Fine, words)
            : new CheckLine(Subject, CheckVerdict.Look, string.Join(" ", [words, .. remarks.Select(InstallationCheck.OneLine)]), "Letters use the service that answered and name the one that did not.");
    }

    private static string InstantWords(Instant instant) => instant.ToString("uuuu-MM-dd HH:mm'Z'", System.Globalization.CultureInfo.InvariantCulture);

    private static string OrderOf(WeatherSettings weather, Place place) => string.Join(", ", weather.SourcesOfPlace.GetValueOrDefault(place.Name) ?? weather.Sources);

    // RFC 9110, 6.6.1: Date is when the reply was made; a cache may have kept it for the seconds Age tells.
    private sealed class DateNoting(CheckScope scope) : DelegatingHandler
    {
        protected override async Task<HttpResponseMessage> SendAsync(HttpRequestMessage request, CancellationToken cancellationToken)
        {
            HttpResponseMessage reply = await base.SendAsync(request, cancellationToken).ConfigureAwait(false);
            HttpResponseHeaders headers = reply.Headers;
            if (headers.Date is { } date)
            {
                scope.NoteClock(request.RequestUri!.Host, Instant.FromDateTimeOffset(date + (headers.Age ?? TimeSpan.Zero)));
            }

            return reply;
        }
    }
}

/// <summary>Files of growers' own weather stations.</summary>
internal sealed class StationCheck : ICheck
{
    public string Subject => "station";

    public async IAsyncEnumerable<CheckLine> RunAsync(CheckScope scope, [EnumeratorCancellation] CancellationToken cancellationToken)
    {
        await Task.CompletedTask.ConfigureAwait(false);
        foreach ((string place, string path) in scope.Installation.Weather.StationOfPlace)
        {
            yield return File.Exists(path)
                ? new CheckLine(Subject, CheckVerdict.Fine, $"{place}: {path}")
                : new CheckLine(Subject, CheckVerdict.Look, $"station.file of {place}: {path} is not there; until it is, letters rest on the forecast alone.", "Let the station's program write it there, or correct the path.");
        }
    }
}
