using System.Collections.Concurrent;
using System.Globalization;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Forecasts.Quality;
using GraftWatch.Forecasts.Station;
using GraftWatch.Microclimate.Frost;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Forecasts.Joining;

/// <summary>What <see cref="JoinedWeatherSource"/> is made of.</summary>
public sealed record JoinedWeatherParts
{
    /// <summary>Forecasts, in the order they are tried.</summary>
    public required IReadOnlyList<IWeatherSource> Forecasts { get; init; }

    /// <summary>Kept hours.</summary>
    public required IWeatherHistory History { get; init; }

    /// <summary>Archives, in the order they are tried.</summary>
    public IReadOnlyList<IPastWeatherSource> Archives { get; init; } = [];

    /// <summary>How far back hours are needed; null for recent days only.</summary>
    public IWeatherNeeds? Needs { get; init; }

    /// <summary>The growers' own instruments; null for none.</summary>
    public IStation? Station { get; init; }

    /// <summary>An ensemble; null for none.</summary>
    public IMemberSource? Ensemble { get; init; }
}

/// <summary>Other courses of the coming hours, equally likely.</summary>
public interface IMemberSource
{
    /// <summary>The members for a place; empty when they could not be had.</summary>
    Task<IReadOnlyList<HourlyWeather>> FetchMembersAsync(Place place, Instant now, CancellationToken cancellationToken);
}

/// <summary>The weather of a place from everything there is: sources in order, kept hours, archives, the grower's station; joined, completed and judged.</summary>
public sealed class JoinedWeatherSource(JoinedWeatherParts parts, JoinedWeatherOptions options, TimeProvider time) : IBatchWeatherSource, IRecallingWeatherSource
{
    private readonly SourceChain chain = new(parts.Forecasts, options);
    private readonly BackFill backFill = new(parts.Archives, options.BackFillEvery);

    // What an ensemble gave last, of the coming hours only.
    private readonly ConcurrentDictionary<string, (Instant At, IReadOnlyList<HourlyWeather> Raw)> members = new(StringComparer.Ordinal);

    /// <inheritdoc/>
    public string Name => string.Join(", ", parts.Forecasts.Select(f => f.Name));

    /// <inheritdoc/>
    public async Task<PlaceWeather> FetchAsync(Place place, Instant now, CancellationToken cancellationToken) =>
        (await FetchManyAsync([place], now, cancellationToken).ConfigureAwait(false))[0];

    /// <inheritdoc/>
    public async Task<IReadOnlyList<PlaceWeather>> FetchManyAsync(IReadOnlyList<Place> places, Instant now, CancellationToken cancellationToken)
    {
        if (places.Count == 0)
        {
            return [];
        }

        using var deadline = new CancellationTokenSource(options.Deadline.ToTimeSpan(), time);
        using var either = CancellationTokenSource.CreateLinkedTokenSource(deadline.Token, cancellationToken);
        SourceChain.Answer[] answers;
        try
        {
            if (options.SpreadStart > Duration.Zero)
            {
                // Thousands of installations that all ask at the full hour are an attack.
                await Task.Delay((options.SpreadStart * Random.Shared.NextDouble()).ToTimeSpan(), time, either.Token).ConfigureAwait(false);
            }

            answers = await chain.FetchAsync(places, now, either.Token).ConfigureAwait(false);
        }
        catch (OperationCanceledException) when (!cancellationToken.IsCancellationRequested)
        {
            string late = string.Create(CultureInfo.InvariantCulture, $"no source answered within {options.Deadline.TotalMinutes:0.#} min");
            answers = [.. places.Select(_ => new SourceChain.Answer(null, [late]))];
        }

        var joined = new PlaceWeather[places.Count];
        for (int p = 0; p < places.Count; p++)
        {
            joined[p] = await JoinAsync(places[p], answers[p], now, either.Token, cancellationToken).ConfigureAwait(false);
        }

        return joined;
    }

    /// <inheritdoc/>
    /// <remarks>Every fetch leaves its model hours in the history; the station is read again up to the instant of the fetch, and what was derived is derived again.</remarks>
    public async Task<PlaceWeather?> RecallAsync(Place place, PlaceWeather fetched, Instant at, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(place);
        ArgumentNullException.ThrowIfNull(fetched);
        KeptWeather? kept = await parts.History.LoadAsync(place.Name, fetched.Forecast.From, cancellationToken).ConfigureAwait(false);
        if (kept is null || kept.IssuedAt != fetched.Forecast.IssuedAt || kept.Weather.FirstHourEnd != fetched.Forecast.From || kept.Weather.LastHourEnd != fetched.Forecast.To)
        {
            return null;
        }

        StationHours station = await ReadStationAsync(place, kept.Weather, at, cancellationToken).ConfigureAwait(false);
        HourlyWeather whole = Complete(place, kept.Weather, station, derived: null);
        IReadOnlyList<HourlyWeather> raw = members.TryGetValue(place.Name, out (Instant At, IReadOnlyList<HourlyWeather> Raw) last) && last.At == at ? last.Raw : [];
        return fetched with { Weather = whole, Members = Complete(whole, raw) };
    }

    private async Task<PlaceWeather> JoinAsync(Place place, SourceChain.Answer answer, Instant now, CancellationToken untilDeadline, CancellationToken cancellationToken)
    {
        Instant earliest = parts.Needs is null ? Instant.MaxValue : await parts.Needs.EarliestAsync(place.Name, cancellationToken).ConfigureAwait(false) ?? Instant.MaxValue;
        Instant from = Instant.Min(earliest, now - Duration.FromDays(3));
        KeptWeather? kept = await parts.History.LoadAsync(place.Name, from, cancellationToken).ConfigureAwait(false);
        List<string> failures = [.. answer.Failures];
        Chosen? chosen = Choose(answer.Weather, kept, now, failures);
        if (chosen is null && answer.Weather is { Weather: not null, Forecast.Source: var stale })
        {
            SourceChain.Answer others = await AskOthersAsync(place, stale, now, untilDeadline, cancellationToken).ConfigureAwait(false);
            failures.AddRange(others.Failures);
            chosen = Choose(others.Weather, kept, now, failures);
        }

        if (chosen is null)
        {
            string why = string.Join("; ", failures);
            var none = new ForecastInfo(Name, string.Empty, null, now, now, []);
            return new PlaceWeather(place, null, none, kept is null || kept.Source.Length == 0 ? why : $"{why}; the last good forecast, of {QuantityWords.Stamp(kept.IssuedAt)}, is too old");
        }

        (HourlyWeather model, List<string> gaps) = (chosen.Model, chosen.Gaps);
        if (earliest < now)
        {
            (model, string? gap) = await FillPastAsync(place, model, earliest, now, untilDeadline, cancellationToken).ConfigureAwait(false);
            gaps.AddRange(gap is null ? [] : [gap]);
        }

        if (chosen.IsFresh || !ReferenceEquals(model, chosen.Model))
        {
            // Hours that an archive filled in beside an old forecast are worth keeping as well.
            await parts.History.SaveAsync(place.Name, new KeptWeather(model, chosen.Source, chosen.Credit, chosen.IssuedAt), cancellationToken).ConfigureAwait(false);
        }

        if (chosen.IsFresh)
        {
            await CompareAsync(place, chosen, now, gaps, untilDeadline, cancellationToken).ConfigureAwait(false);
        }

        return await FinishAsync(place, model, chosen, now, untilDeadline, cancellationToken).ConfigureAwait(false);
    }

    /// <summary>The sources behind one whose run is too old to be used.</summary>
    private async Task<SourceChain.Answer> AskOthersAsync(Place place, string stale, Instant now, CancellationToken untilDeadline, CancellationToken cancellationToken)
    {
        try
        {
            return (await chain.FetchAsync([place], now, untilDeadline, without: stale).ConfigureAwait(false))[0];
        }
        catch (OperationCanceledException) when (!cancellationToken.IsCancellationRequested)
        {
            return new SourceChain.Answer(null, ["no other source answered in time"]);
        }
    }

    /// <summary>The new run joined with the kept hours, or the kept hours alone while they are not too old; why a new run is not used is added to the failures.</summary>
    private Chosen? Choose(PlaceWeather? answer, KeptWeather? kept, Instant now, List<string> failures)
    {
        var gaps = new List<string>();
        if (answer is { Weather: { } fresh, Forecast: { } info })
        {
            gaps.AddRange(failures.Select(f => f.StartsWith(info.Source + ":", StringComparison.Ordinal)
                ? $"{f}, and no other source had more."
                : $"{info.Source} is used, for others failed: {f}."));
            gaps.AddRange(info.Gaps.Except(WeatherGaps.Of(fresh)));
            Instant issuedAt = info.IssuedAt ?? now;
            bool frozen = false;
            if (kept is not null && kept.Source == info.Source && kept.IssuedAt < issuedAt && FrozenRun.Repeats(kept.Weather, fresh, now))
            {
                // The fetch is new, the forecast is not: its age goes on.
                issuedAt = kept.IssuedAt;
                frozen = true;
                if (now - issuedAt >= options.FrozenAfter)
                {
                    gaps.Add($"{info.Source} sends the same forecast as at {QuantityWords.Stamp(kept.IssuedAt)}, to the last digit; it seems to stand still.");
                }
            }

            if (Judge(now - issuedAt, issuedAt, gaps))
            {
                return new Chosen(WeatherJoin.Renew(kept?.Weather, fresh, now), info.Source, info.Credit, issuedAt, gaps, IsFresh: true, fresh);
            }

            failures.Add(frozen
                ? $"{info.Source}: it has sent the same forecast since {QuantityWords.Stamp(issuedAt)}"
                : $"{info.Source}: its forecast is of {QuantityWords.Stamp(issuedAt)}, too old to be used");
        }

        if (kept is null || kept.Weather.LastHourEnd <= now || !Judge(now - kept.IssuedAt, kept.IssuedAt, []))
        {
            return null;
        }

        gaps.Clear();
        gaps.Add($"No new forecast could be had ({string.Join("; ", failures)}); the one of {QuantityWords.Stamp(kept.IssuedAt)} is used.");
        Judge(now - kept.IssuedAt, kept.IssuedAt, gaps);
        return new Chosen(kept.Weather, kept.Source, kept.Credit, kept.IssuedAt, gaps, IsFresh: false, kept.Weather);
    }

    /// <summary>Whether a forecast of this age may be used; an old one is told.</summary>
    private bool Judge(Duration age, Instant issuedAt, List<string> gaps)
    {
        if (age > options.OldAfter && age <= options.NoneAfter)
        {
            gaps.Add(string.Create(CultureInfo.InvariantCulture, $"The forecast is {age.TotalHours:0} hours old (of {QuantityWords.Stamp(issuedAt)}); look at the sky before you rely on it."));
        }

        return age <= options.NoneAfter;
    }

    private async Task<(HourlyWeather Weather, string? Gap)> FillPastAsync(
        Place place, HourlyWeather model, Instant earliest, Instant now, CancellationToken untilDeadline, CancellationToken cancellationToken)
    {
        try
        {
            return await backFill.FillAsync(place, model, earliest, now, untilDeadline).ConfigureAwait(false);
        }
        catch (OperationCanceledException) when (!cancellationToken.IsCancellationRequested)
        {
            return (model, "Past hours could not be fetched in time.");
        }
    }

    private async Task CompareAsync(Place place, Chosen chosen, Instant now, List<string> gaps, CancellationToken untilDeadline, CancellationToken cancellationToken)
    {
        IWeatherSource? second = options.CompareWith is { } name
            ? parts.Forecasts.FirstOrDefault(f => SourceChain.SameName(f.Name, name) && f.Name != chosen.Source)
            : null;
        if (second is null)
        {
            return;
        }

        try
        {
            PlaceWeather other = await second.FetchAsync(place, now, untilDeadline).ConfigureAwait(false);
            if (other.Weather is { } hours
                && WeatherSpread.Between(chosen.Fresh, hours, now, now + Duration.FromDays(2)).Sentence(chosen.Source, second.Name, options.Apart) is { } apart)
            {
                gaps.Add(apart);
            }
        }
        catch (OperationCanceledException) when (!cancellationToken.IsCancellationRequested)
        {
            // A comparison that comes too late is no reason to wait.
        }
    }

    private async Task<PlaceWeather> FinishAsync(Place place, HourlyWeather model, Chosen chosen, Instant now, CancellationToken untilDeadline, CancellationToken cancellationToken)
    {
        StationHours station = await ReadStationAsync(place, model, now, cancellationToken).ConfigureAwait(false);
        chosen.Gaps.AddRange(station.Gaps);
        var derived = new SortedSet<WeatherQuantity>();
        HourlyWeather whole = Complete(place, model, station, derived);
        if (derived.Count > 0)
        {
            chosen.Gaps.Add($"Derived here in some hours, not from the source: {QuantityWords.List([.. derived.Select(QuantityWords.Name)])}.");
        }

        chosen.Gaps.AddRange(WeatherGaps.Of(whole));
        Place placed = station.Weather is null ? place : WithLearnedOffset(place, model, station.Weather, now);
        var info = new ForecastInfo(chosen.Source, chosen.Credit, chosen.IssuedAt, whole.FirstHourEnd, whole.LastHourEnd, chosen.Gaps);
        return new PlaceWeather(placed, whole, info) { Members = await MembersAsync(place, whole, now, untilDeadline, cancellationToken).ConfigureAwait(false) };
    }

    private Task<StationHours> ReadStationAsync(Place place, HourlyWeather model, Instant now, CancellationToken cancellationToken) => parts.Station is null
        ? Task.FromResult(StationHours.None)
        : parts.Station.ReadAsync(place, model.FirstHourEnd, now, cancellationToken);

    private static HourlyWeather Complete(Place place, HourlyWeather model, StationHours station, ISet<WeatherQuantity>? derived) =>
        WeatherCompletion.Complete(station.Weather is null ? model : WeatherJoin.Overlay(model, station.Weather), place.Site, derived);

    private static IReadOnlyList<HourlyWeather> Complete(HourlyWeather whole, IReadOnlyList<HourlyWeather> members) =>
        [.. members.Select(m => WeatherJoin.CompleteMember(whole, WeatherCompletion.CompleteMoisture(m)))];

    private async Task<IReadOnlyList<HourlyWeather>> MembersAsync(Place place, HourlyWeather whole, Instant now, CancellationToken untilDeadline, CancellationToken cancellationToken)
    {
        if (parts.Ensemble is null)
        {
            return [];
        }

        try
        {
            IReadOnlyList<HourlyWeather> raw = await parts.Ensemble.FetchMembersAsync(place, now, untilDeadline).ConfigureAwait(false);
            members[place.Name] = (now, raw);
            return Complete(whole, raw);
        }
        catch (OperationCanceledException) when (!cancellationToken.IsCancellationRequested)
        {
            return [];
        }
    }

    /// <summary>A grower's own offset stands; where none is set, the learned one is used and said to be assumed.</summary>
    private static Place WithLearnedOffset(Place place, HourlyWeather model, HourlyWeather station, Instant now)
    {
        FrostOffset learned = FrostOffsetLearner.Learn(model, station, place.Zone, now);
        return place.Site.FrostOffsetK != 0 || !learned.IsLearned
            ? place
            : place with
            {
                Site = place.Site with { FrostOffsetK = learned.OffsetK },
                Assumed = [.. place.Assumed, string.Create(CultureInfo.InvariantCulture, $"On clear calm nights {place.Name} is {learned.OffsetK:+0.0;-0.0} K against the forecast, learned from {learned.Nights} nights of its own thermometer.")],
            };
    }

    private sealed record Chosen(HourlyWeather Model, string Source, string Credit, Instant IssuedAt, List<string> Gaps, bool IsFresh, HourlyWeather Fresh);
}
