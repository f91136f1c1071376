using System.Diagnostics;
using System.Globalization;
using NodaTime;

namespace GraftWatch.Crash.Watching;

/// <summary>Hours of the true clock with the released program itself: a letter every few minutes, its weather service and its mail server away now and then, one restart; memory, processor time and bytes written as the system counts them.</summary>
public static class SlowRun
{
    private const int MinutesBetween = 5, RowMinutes = 10;
    // Young and old, of every kind of work, so that a letter has something to say in any season.
    private static readonly (int DaysOld, string Cells)[] Grafts =
    [
        (6, "apple,whip-and-tongue,S,0.4,12,none,budding-strip,wax,0"),
        (20, "pear,cleft,SW,1.2,40,paper,twine,paint,3"),
        (34, "plum,bark,W,1.3,70,foil,twine,paint,9"),
        (62, "sweet-cherry,splice,SE,0.9,14,none,rubber,wax,28"),
        (95, "apricot,t-bud,S,0.6,16,none,none,none,42"),
        (130, "fig,bark,S,0.7,28,film,raffia,wax,12"),
        (240, "grape,cleft,E,0.3,30,none,raffia,none,60"),
        (400, "apple,chip-bud,N,0.2,15,none,none,none,110"),
    ];

    private static readonly TimeSpan Look = TimeSpan.FromSeconds(2);

    /// <summary>A letter that had to come has come by then, the longest absence of the mail server and the pause before the next try included.</summary>
    private static readonly Duration Latest = Duration.FromMinutes(25);

    /// <summary>Lives so long and judges.</summary>
    /// <param name="program">The program.</param>
    /// <param name="hours">How long, at least one.</param>
    /// <param name="log">Hears the rows and the judgement.</param>
    /// <returns>Whether nothing was wrong.</returns>
    public static async Task<bool> RunAsync(string program, double hours, Action<string> log)
    {
        Reader[] readers = [.. Enumerable.Range(0, 24 * 60 / MinutesBetween).Select(number => new Reader(string.Create(CultureInfo.InvariantCulture, $"R{number:000}"), "Etc/UTC", TimeOnly.MinValue.AddMinutes(number * MinutesBetween)))];
        string folder = Directory.CreateTempSubdirectory("graftwatch-hours-").FullName;
        await using var sink = new LetterSink(() => Now().ToUnixTimeTicks(), () => Now().ToUnixTimeTicks());
        await using var weather = new WeatherService(Now);
        await File.WriteAllTextAsync(Path.Combine(folder, "graftwatch.toml"), Reader.Settings(readers, sink.Port, weather.Address));
        foreach (Reader reader in readers)
        {
            await GiveGraftsAsync(program, folder, reader);
        }

        Instant start = Now();
        Instant end = start + Duration.FromHours(hours);
        weather.AwayWhen = () => (Now() - start).TotalMinutes % 60 is > 12 and < 22;
        sink.BusyWhen = () => (Now() - start).TotalMinutes % 60 is > 33 and < 39;
        var faults = new List<string>();
        log("minute, life's minute, RSS MB, own memory MB, processor s, written MB, letters");
        Instant[] ends = [start + (Duration.FromHours(hours) / 2), end];
        foreach (Instant until in ends)
        {
            faults.AddRange(await LiveAsync(program, folder, start, until, sink, log));
        }

        faults.AddRange(Judge(readers, sink, start, end));
        log(string.Create(CultureInfo.InvariantCulture, $"{hours:0.0} h, {sink.Letters.Count(letter => !letter.Urgent)} morning letters and {sink.Letters.Count(letter => letter.Urgent)} urgent notes arrived; {faults.Count} faults{string.Concat(faults.Select(fault => "\n  " + fault))}"));
        Directory.Delete(folder, recursive: true);
        return faults.Count == 0;
    }

    private static Instant Now() => SystemClock.Instance.GetCurrentInstant();

    private static async Task GiveGraftsAsync(string program, string folder, Reader reader)
    {
        string file = Path.Combine(folder, reader.Name + ".csv");
        LocalDate today = Now().InUtc().Date;
        IEnumerable<string> rows = Grafts.Select((graft, index) => string.Create(CultureInfo.InvariantCulture, $"A-{index:00},{reader.ZoneId},{today.PlusDays(-graft.DaysOld):uuuu-MM-dd},{graft.Cells}"));
        await File.WriteAllLinesAsync(file, ["label,place,made,species,technique,aspect,height_m,diameter_mm,cover,tie,seal,shoot_cm", .. rows]);
        using Process import = Process.Start(new ProcessStartInfo(program, ["import", file, "--grower", reader.Name, "--config", folder]) { RedirectStandardOutput = true, RedirectStandardError = true })!;
        string said = await import.StandardOutput.ReadToEndAsync() + await import.StandardError.ReadToEndAsync();
        await import.WaitForExitAsync();
        if (import.ExitCode != 0)
        {
            throw new InvalidOperationException(said);
        }
    }

    private static async Task<List<string>> LiveAsync(string program, string folder, Instant start, Instant until, LetterSink sink, Action<string> log)
    {
        sink.Life++;
        using Process life = Process.Start(new ProcessStartInfo(program, ["serve", "--config", folder, "--listen", "127.0.0.1:0", "--watch", "off"]) { RedirectStandardError = true, RedirectStandardOutput = true })!;
        life.ErrorDataReceived += (_, _) => { };
        life.OutputDataReceived += (_, _) => { };
        life.BeginErrorReadLine();
        life.BeginOutputReadLine();
        var rows = new List<Accounts>();
        Instant born = Now();
        while (Now() < until && !life.HasExited)
        {
            await Task.Delay(Look);
            if ((Now() - born).TotalMinutes >= RowMinutes * (rows.Count + 1) || Now() >= until)
            {
                rows.Add(Accounts.Of(life.Id));
                log(string.Create(CultureInfo.InvariantCulture, $"{(Now() - start).TotalMinutes:0}, {(Now() - born).TotalMinutes:0}, {rows[^1]}, {sink.Letters.Count}"));
            }
        }

        List<string> faults = [];
        if (life.HasExited)
        {
            faults.Add($"the program ended by itself with {life.ExitCode}");
            return faults;
        }

        // From the second row on, when every job had its turn.
        if (rows.Count > 2)
        {
            log(string.Create(CultureInfo.InvariantCulture, $"resident memory from the second row of this life to its last: {(rows[^1].ResidentMB / rows[1].ResidentMB) - 1:+0.0%;-0.0%}"));
        }

        using (Process stop = Process.Start("kill", ["-TERM", life.Id.ToString(CultureInfo.InvariantCulture)]))
        {
            await stop.WaitForExitAsync();
        }

        await life.WaitForExitAsync();
        if (life.ExitCode != 0)
        {
            faults.Add($"asked to stop, the program ended with {life.ExitCode}");
        }

        return faults;
    }

    // One letter for each reader and date: at its hour, or at the start for an hour of the first day that had passed.
    private static IEnumerable<string> Judge(IReadOnlyList<Reader> readers, LetterSink sink, Instant start, Instant end)
    {
        foreach (Reader reader in readers)
        {
            for (LocalDate date = start.InUtc().Date; date <= end.InUtc().Date; date = date.PlusDays(1))
            {
                Instant due = Instant.Max(start, date.AtMidnight().InUtc().ToInstant() + Duration.FromTimeSpan(reader.Hour.ToTimeSpan()));
                SunkLetter[] came = [.. sink.Letters.Where(letter => !letter.Urgent && letter.Address == reader.Address && letter.Date == date.ToDateOnly())];
                if (came.Length > 1)
                {
                    yield return $"twice: {reader.Name} has {came.Length} letters of {date:uuuu-MM-dd}";
                }

                if (came.Any(letter => letter.At < due.ToUnixTimeTicks()))
                {
                    yield return $"early: {reader.Name}, {date:uuuu-MM-dd}";
                }

                if (due + Latest < end && !came.Any(letter => letter.At <= (due + Latest).ToUnixTimeTicks()))
                {
                    yield return $"missing: {reader.Name}, {date:uuuu-MM-dd}, due {due}";
                }
            }
        }
    }

    /// <summary>What the system counts of a process.</summary>
    private sealed record Accounts(double ResidentMB, double OwnMB, double ProcessorS, double WrittenMB)
    {
        private const double TicksPerSecond = 100;

        public override string ToString() => string.Create(CultureInfo.InvariantCulture, $"{ResidentMB:0.0}, {OwnMB:0.0}, {ProcessorS:0.0}, {WrittenMB:0.0}");

        internal static Accounts Of(int process)
        {
            string root = string.Create(CultureInfo.InvariantCulture, $"/proc/{process}/");
            double KiB(string name) => Number(File.ReadLines(root + "status").First(line => line.StartsWith(name, StringComparison.Ordinal)).Split(':')[1].Replace("kB", string.Empty, StringComparison.Ordinal));
            // Behind the name in brackets, the 12th and 13th word are processor time in the program and in the kernel (proc_pid_stat(5)).
            string[] stat = File.ReadAllText(root + "stat").Split(") ")[1].Split(' ');
            double written = Number(File.ReadLines(root + "io").First(line => line.StartsWith("write_bytes", StringComparison.Ordinal)).Split(':')[1]);
            return new Accounts(KiB("VmRSS") * 1024 / 1e6, KiB("RssAnon") * 1024 / 1e6, (Number(stat[11]) + Number(stat[12])) / TicksPerSecond, written / 1e6);
        }

        private static double Number(string text) => double.Parse(text, CultureInfo.InvariantCulture);
    }
}
