using System.Diagnostics;
using System.Globalization;
using System.Net.Sockets;
using System.Text;
using GraftWatch.Testing.Mail;

namespace GraftWatch.Packaging.Tests;

/// <summary>What the compiled program asks of a small machine with two hundred grafts, measured from outside.</summary>
/// <remarks>The figures of a quiet machine stand in docs/benchmarks.md; the bounds here leave room for a busy one. GRAFTWATCH_REST_SECONDS lengthens the look at the sleeping program.</remarks>
[Collection("machines")]
public sealed class RestingTests
{
    [Fact]
    public async Task With_two_hundred_grafts_it_is_ready_soon_and_then_sleeps_cheaply()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "Reads /proc.");
        string program = Dist.ProgramOrSkip();
        await using Morning morning = await Morning.StartAsync(200);
        await using (Serving first = Serving.Start(program, morning))
        {
            await morning.LetterAsync(1, () => first.Log);
        }

        string path = Path.Combine(morning.Folder, "notify");
        using var manager = new Socket(AddressFamily.Unix, SocketType.Dgram, ProtocolType.Unspecified);
        manager.Bind(new UnixDomainSocketEndPoint(path));
        var surroundings = morning.Surroundings;
        surroundings["NOTIFY_SOCKET"] = path;
        int port = LoopbackMailServer.FreePort();
        var since = Stopwatch.StartNew();
        await using Serving serving = Serving.Start(program, ["serve", "--config", morning.Folder, "--listen", $"127.0.0.1:{port}", "--watch", "off"], port, surroundings);
        Task<TimeSpan> served = AnswersAsync(serving.Address, since);
        TimeSpan ready = await ReadyAsync(manager, since);
        TimeSpan answers = await served;
        TestContext.Current.CancellationToken.ThrowIfCancellationRequested();

        await Task.Delay(TimeSpan.FromSeconds(20), TestContext.Current.CancellationToken);
        double seconds = double.Parse(Environment.GetEnvironmentVariable("GRAFTWATCH_REST_SECONDS") ?? "10", CultureInfo.InvariantCulture);
        (double cpu, long written) before = Used(serving.Id);
        await Task.Delay(TimeSpan.FromSeconds(seconds), TestContext.Current.CancellationToken);
        (double cpu, long written) after = Used(serving.Id);
        double share = (after.cpu - before.cpu) / seconds;
        long resident = Resident(serving.Id);
        TestContext.Current.TestOutputHelper!.WriteLine(string.Create(
            CultureInfo.InvariantCulture,
            $"pages answer {answers.TotalMilliseconds:F0} ms, ready {ready.TotalMilliseconds:F0} ms, resident {resident / 1e6:F1} MB, processor {share:P2} over {seconds} s, start {before.written} B written, then {after.written - before.written} B"));
        Assert.InRange(ready.TotalSeconds, 0, 5);
        Assert.InRange(resident, 1_000_000, 120_000_000);
        Assert.InRange(share, 0, 0.05);
    }

    private static async Task<TimeSpan> AnswersAsync(Uri address, Stopwatch since)
    {
        using var http = new HttpClient();
        while (true)
        {
            try
            {
                using HttpResponseMessage answer = await http.GetAsync(new Uri(address, "/live"), TestContext.Current.CancellationToken);
                return since.Elapsed;
            }
            catch (HttpRequestException)
            {
                await Task.Delay(2, TestContext.Current.CancellationToken);
            }
        }
    }

    private static async Task<TimeSpan> ReadyAsync(Socket manager, Stopwatch since)
    {
        byte[] buffer = new byte[4096];
        using var limit = new CancellationTokenSource(TimeSpan.FromSeconds(60));
        while (true)
        {
            int length = await manager.ReceiveAsync(buffer.AsMemory(), SocketFlags.None, limit.Token);
            if (Encoding.UTF8.GetString(buffer, 0, length).Contains("READY=1", StringComparison.Ordinal))
            {
                return since.Elapsed;
            }
        }
    }

    // Fields 14 and 15 of stat, in hundredths of a second (proc(5)); the name in field 2 may hold blanks.
    private static (double Cpu, long Written) Used(int id)
    {
        string stat = File.ReadAllText($"/proc/{id}/stat");
        string[] fields = stat[(stat.LastIndexOf(')') + 2)..].Split(' ');
        double cpu = (long.Parse(fields[11], CultureInfo.InvariantCulture) + long.Parse(fields[12], CultureInfo.InvariantCulture)) / 100.0;
        return (cpu, Field($"/proc/{id}/io", "write_bytes:"));
    }

    private static long Resident(int id) => Field($"/proc/{id}/status", "VmRSS:") * 1024;

    private static long Field(string file, string name) =>
        long.Parse(File.ReadLines(file).First(line => line.StartsWith(name, StringComparison.Ordinal))[name.Length..].Replace("kB", string.Empty, StringComparison.Ordinal).Trim(), CultureInfo.InvariantCulture);
}
