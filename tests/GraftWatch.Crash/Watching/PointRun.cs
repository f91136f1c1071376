using System.Diagnostics;
using System.Globalization;
using GraftWatch.Crash.Lives;
using NodaTime;

namespace GraftWatch.Crash.Watching;

/// <summary>Kills the program at named points.</summary>
public static class PointRun
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(60);
    private static readonly Instant Spring = Instant.FromUtc(2027, 3, 27, 5, 40);

    /// <summary>The points a program comes to in its first days.</summary>
    public static async Task<IReadOnlyList<string>> FindAsync()
    {
        await using var season = new Season(Spring);
        Process life = season.Begin(season.Options with { TellsPoints = true, UntilSeconds = (Spring + Duration.FromDays(3)).ToUnixTimeSeconds() });
        await season.EndAsync(life, Patience);
        return season.Errors.Count > 0
            ? throw new InvalidOperationException(string.Join('\n', season.Errors))
            : PointTable.InOrder(season.Points);
    }

    /// <summary>An installation that nobody kills, for so many days: what there is to be judged.</summary>
    public static async Task<Tally> CalmAsync(int days, Action<string> log)
    {
        await using var season = new Season(Spring);
        Process life = season.Begin(season.Options with { UntilSeconds = (Spring + Duration.FromDays(days)).ToUnixTimeSeconds() });
        await season.EndAsync(life, TimeSpan.FromMinutes(10));
        foreach (IGrouping<string, SunkLetter> own in season.Sink.Letters.GroupBy(letter => letter.Address).OrderBy(own => own.Key))
        {
            log($"{own.Key}: letters {string.Join(' ', own.Where(letter => !letter.Urgent).Select(letter => letter.Date.ToString("MM-dd", CultureInfo.InvariantCulture)))}; notes {string.Join(' ', own.Where(letter => letter.Urgent).Select(letter => letter.Date.ToString("MM-dd", CultureInfo.InvariantCulture) + "@" + DateTime.UnixEpoch.AddTicks(letter.At).ToString("dd'T'HH:mm", CultureInfo.InvariantCulture)))}");
        }

        var tally = new Tally();
        tally.Add(SlotOracle.Judge(season, quiet: true), 0, "calm");
        return tally;
    }

    /// <summary>One installation for each point and time: the program is killed there, started again and left to itself until all is quiet.</summary>
    public static async Task<Tally> EachAloneAsync(IReadOnlyList<string> points, int times, Action<string> log)
    {
        var tally = new Tally();
        foreach (string point in points)
        {
            for (int time = 1; time <= times; time++)
            {
                await using var season = new Season(Spring);
                bool reached = await KillAsync(season, point, time);
                await season.QuietAsync(season.Options, Patience);
                Judgement judgement = SlotOracle.Judge(season, quiet: true);
                // A point that a life comes to only once or twice has no fifth time.
                tally.Add(judgement, reached ? 1 : 0, string.Create(CultureInfo.InvariantCulture, $"{point}, time {time}"));
                if (!reached)
                {
                    tally.NotReached(point, time);
                }
            }

            log($"{point}: {tally}");
        }

        return tally;
    }

    /// <summary>One installation through all points: each life recovers from the kill before and comes to the next.</summary>
    /// <param name="points">The points; those of a first start must be the first.</param>
    /// <param name="spoil">A fault on purpose.</param>
    public static async Task<Tally> InOneChainAsync(IReadOnlyList<string> points, Spoil spoil = Spoil.None)
    {
        var tally = new Tally();
        await using var season = new Season(Spring);
        int kills = 0;
        foreach (string point in points)
        {
            bool reached = await KillAsync(season, point, 1, spoil);
            kills += reached ? 1 : 0;
            if (!reached)
            {
                tally.NotReached(point, 1);
            }
        }

        // A fault on purpose gets some mornings in which it can show.
        bool spoilt = spoil != Spoil.None;
        await season.QuietAsync(season.Options with { Spoil = spoil }, Patience, spoilt ? Duration.FromDays(3) : null);
        tally.Add(SlotOracle.Judge(season, quiet: true), kills, "chain");
        return tally;
    }

    private static async Task<bool> KillAsync(Season season, string point, int time, Spoil spoil = Spoil.None)
    {
        SinkStage? stage = PointTable.StageOf(point);
        bool outside = stage is not null || point == PointTable.HalfWeather;
        Process life = season.Begin(season.Options with
        {
            Point = outside ? string.Empty : point,
            Times = time,
            Spoil = spoil,
            Certificate = PointTable.NeedsSecureLine(point) ? season.Sink.CertificateSha256 : string.Empty,
            UntilSeconds = (season.Now + Duration.FromDays(4)).ToUnixTimeSeconds(),
        });
        season.Sink.KillAt(stage, time, life);
        if (point == PointTable.HalfWeather)
        {
            season.Weather.AtHalf(life.Kill);
        }

        return await season.EndAsync(life, spoil == Spoil.None ? Patience : TimeSpan.FromSeconds(15));
    }
}
