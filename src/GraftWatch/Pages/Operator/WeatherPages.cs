using GraftWatch.Aftercare.Grafts;
using GraftWatch.Pages.Language;
using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using GraftWatch.Records;
using GraftWatch.Rounds.Ports;
using GraftWatch.Serving;
using GraftWatch.Settings.Installation;

namespace GraftWatch.Pages.Operator;

/// <summary>Places and the weather that is known of them; services and how much they were asked.</summary>
internal sealed class WeatherPages(GrowersInForce growers, RecordsStore store, ServeState state, ServeParts parts) : IPageGroup
{
    private const int PageSize = 40;
    private const int MostTroubles = 20;

    public void Map(PageRoutes routes) => routes.Get("/operator/weather", Access.Operator, ShowAsync);

    private async Task<PageAnswer> ShowAsync(PageContext page)
    {
        InForce inForce = await growers.LoadAsync(page.Stopped).ConfigureAwait(false);
        Place[] places = [.. inForce.PlacesToWatch().OrderBy(place => place.Name, StringComparer.OrdinalIgnoreCase)];
        Pager pager = Pager.Of(page, places.Length, PageSize);
        var known = new List<(Place Place, KeptWeather? Weather)>();
        foreach (Place place in pager.Of(places))
        {
            known.Add((place, await store.History.LoadAsync(place.Name, page.Now, page.Stopped).ConfigureAwait(false)));
        }

        (string Source, string Host, RequestTally? Tally)[] sources = await SourcesAsync(page, inForce.Settings.Installation.Weather).ConfigureAwait(false);
        Days days = OperatorView.DaysOf(page, inForce.Settings);
        return OperatorView.Show(page, page.Say("operator.weather"), html =>
        {
            Troubles(html, page);
            Sources(html, page, days, sources);
            html.Leaf("h2", page.Say("operator.places"));
            Places(html, page, inForce.Settings.Installation.Weather, known);
            html.Pager(page, pager);
        });
    }

    private void Troubles(Html html, PageContext page)
    {
        IReadOnlyList<PlaceTrouble> troubles = state.Report().WithoutWeather;
        if (troubles.Count == 0)
        {
            return;
        }

        html.Paragraph(page.Count("operator.without-weather", troubles.Count), "lead");
        using (html.In("ul", ("class", "amiss")))
        {
            foreach (PlaceTrouble trouble in troubles.Take(MostTroubles))
            {
                using (html.In("li"))
                {
                    html.Text(trouble.Place + ": ");
                    html.Leaf("span", trouble.Why, ("lang", "en"));
                }
            }
        }
    }

    private async Task<(string Source, string Host, RequestTally? Tally)[]> SourcesAsync(PageContext page, WeatherSettings weather)
    {
        string[] names = [.. weather.Sources.Concat(weather.SourcesOfPlace.Values.SelectMany(order => order)).Concat(weather.Compare is { } compare ? [compare] : []).Distinct(StringComparer.Ordinal)];
        var found = new List<(string, string, RequestTally?)>();
        foreach (string name in names)
        {
            string host = HostOf(name, weather);
            found.Add((name, host, await store.Tallies.FindAsync(host, page.Stopped).ConfigureAwait(false)));
        }

        return [.. found];
    }

    private string HostOf(string source, WeatherSettings weather)
    {
        Forecasts.WeatherSetup setup = parts.Sources(Inputs.InstalledWeather.Setup(weather, parts.Environment));
        return source switch
        {
            "met-norway" => setup.MetNorwayAddress.Authority,
            "us-national-weather-service" => setup.UsAddress.Authority,
            _ => weather.Address.Authority,
        };
    }

    private static void Sources(Html html, PageContext page, Days days, (string Source, string Host, RequestTally? Tally)[] sources)
    {
        html.Leaf("h2", page.Say("operator.sources"));
        string[] columns = [page.Say("operator.source"), page.Say("operator.source-host"), page.Say("operator.asked-today"), page.Say("operator.source-asked"), page.Say("operator.source-rests")];
        html.Table(columns, () =>
        {
            foreach ((string source, string host, RequestTally? tally) in sources)
            {
                bool isToday = tally is not null && tally.CountedAt.InUtc().Date == page.Now.InUtc().Date;
                using (html.In("tr"))
                {
                    html.Cell(columns[0], source);
                    html.Cell(columns[1], host);
                    html.Cell(columns[2], page.Figures.Number(isToday ? tally!.DayUsed : 0, 0), "number");
                    html.Cell(columns[3], OperatorView.At(days, tally?.CountedAt));
                    html.Cell(columns[4], tally?.NotBefore is { } until && until > page.Now ? page.Say("operator.rests-until", days.At(until), tally.Why) : page.Say("operator.rests-not"));
                }
            }
        });
    }

    private static void Places(Html html, PageContext page, WeatherSettings weather, List<(Place Place, KeptWeather? Weather)> places)
    {
        string[] columns = [page.Say("operator.place"), page.Say("operator.where"), page.Say("operator.source"), page.Say("operator.forecast-of"), page.Say("operator.reaches-to")];
        html.Table(columns, () =>
        {
            foreach ((Place place, KeptWeather? kept) in places)
            {
                var days = new Days(page.Language, place.Zone);
                using (html.In("tr"))
                {
                    html.Cell(columns[0], place.Name);
                    html.Cell(columns[1], $"{page.Figures.Angle(place.Site.LatitudeDeg, 3)} {page.Figures.Angle(place.Site.LongitudeDeg, 3)}, {page.Figures.Elevation(place.Site.ElevationM)}");
                    html.Cell(columns[2], kept?.Source ?? string.Join(", ", weather.SourcesOfPlace.GetValueOrDefault(place.Name) ?? weather.Sources));
                    html.Cell(columns[3], kept is null ? page.Say("operator.no-forecast") : $"{days.At(kept.IssuedAt)} ({OperatorView.Age(page, kept.IssuedAt)})");
                    html.Cell(columns[4], kept is null ? Figures.Unknown : days.At(kept.Weather.LastHourEnd));
                }
            }
        });
    }
}
