using System.Runtime.CompilerServices;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.CommandLine;
using GraftWatch.Forecasts;
using GraftWatch.Inputs;
using GraftWatch.Rounds.Ports;
using GraftWatch.Settings.Installation;

namespace GraftWatch.Checks;

/// <summary>Asks the weather sources once for each order of sources that places have, and looks for station files.</summary>
/// <remarks>Kept hours are left aside on purpose: the question is who answers now.</remarks>
internal sealed class WeatherCheck(Terminal terminal, Func<string, string?> environment)
{
    /// <summary>One line for each order of sources, one for each station.</summary>
    internal async IAsyncEnumerable<CheckLine> RunAsync(GraftWatchSettings installation, [EnumeratorCancellation] CancellationToken cancellationToken)
    {
        var services = new ServiceCollection();
        services.AddLogging();
        services.AddSingleton(TimeProvider.System); // deadlines and pauses of the network are real seconds
        services.AddWeather(InstalledWeather.Setup(installation.Weather, environment) with { WithEnsemble = false });
        await using ServiceProvider provider = services.BuildServiceProvider();
        IWeatherSource source = provider.GetRequiredService<IWeatherSource>();
        foreach (IGrouping<string, Place> alike in installation.Places.GroupBy(place => string.Join(", ", OrderOf(installation.Weather, place))))
        {
            PlaceWeather answer = await source.FetchAsync(alike.First(), terminal.Now(), cancellationToken).ConfigureAwait(false);
            yield return Answer(answer, alike.Key);
        }

        foreach ((string place, string path) in installation.Weather.StationOfPlace)
        {
            yield return File.Exists(path)
                ? new CheckLine("station", CheckVerdict.Fine, $"{place}: {path}")
                : new CheckLine("station", CheckVerdict.Look, $"{place}: {path} is not there. Until it is, letters rest on the forecast alone.");
        }
    }

    private static IReadOnlyList<string> OrderOf(WeatherSettings weather, Place place) => weather.SourcesOfPlace.GetValueOrDefault(place.Name) ?? weather.Sources;

    private static CheckLine Answer(PlaceWeather answer, string order)
    {
        if (answer.Weather is not { } weather)
        {
            return new CheckLine("weather", CheckVerdict.Failed, $"{order}, for {answer.Place.Name}: {answer.Trouble}. Letters say what could not be checked, and serve keeps trying.");
        }

        string words = $"{answer.Forecast.Source} answers for {answer.Place.Name}: {weather.Hours} hours to {weather.LastHourEnd}";
        string[] remarks = [.. answer.Forecast.Gaps.Where(gap => gap.Contains("failed:", StringComparison.Ordinal) || (gap.Contains("station file", StringComparison.Ordinal) && !gap.EndsWith("is not there.", StringComparison.Ordinal)))];
        return new CheckLine("weather", remarks.Length == 0 ? CheckVerdict.Fine : CheckVerdict.Look, string.Join(" ", [remarks.Length == 0 ? words : words + ".", .. remarks]));
    }
}
