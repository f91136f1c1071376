using System.Text;
using GraftWatch.Settings.Live;
using Microsoft.Extensions.Time.Testing;
using NodaTime;

namespace GraftWatch.Settings.Tests.Live;

public sealed class LiveSettingsTests : IDisposable
{
    private static readonly LiveSettingsOptions Quick = new() { Wait = Duration.FromMilliseconds(100), LongWait = Duration.FromMilliseconds(400), Look = Duration.FromMinutes(10) };

    private readonly string folder = Directory.CreateTempSubdirectory("graftwatch-").FullName;

    public LiveSettingsTests()
    {
        File.WriteAllBytes(PathOf("graftwatch.toml"), ShippedDefaults.Read("graftwatch.toml"));
        File.WriteAllText(PathOf("thresholds.toml"), "heat.cambium.act = \"37 °C\"\n");
    }

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Fact]
    public void A_folder_with_faults_is_not_opened()
    {
        File.WriteAllText(PathOf("thresholds.toml"), "heat.cambium.act = 37\n");

        Assert.Single(LiveSettings.Open(folder, Quick, TimeProvider.System).Faults);
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task An_edit_comes_into_force_by_itself(bool renamedOver)
    {
        using LiveSettings live = Open(TimeProvider.System);
        Task<SettingsSnapshot> changed = NextChange(live);
        if (renamedOver)
        {
            File.WriteAllText(PathOf("thresholds.toml.new"), "heat.cambium.act = \"38 °C\"\n");
            File.Move(PathOf("thresholds.toml.new"), PathOf("thresholds.toml"), overwrite: true);
        }
        else
        {
            File.WriteAllText(PathOf("thresholds.toml"), "heat.cambium.act = \"38 °C\"\n");
        }

        SettingsSnapshot snapshot = await changed.WaitAsync(TimeSpan.FromSeconds(30), TestContext.Current.CancellationToken);

        Assert.Equal("heat.cambium.act: 37 °C → 38 °C", Assert.Single(snapshot.Changes).ToString());
        Assert.Same(snapshot, live.Current);
    }

    [Fact]
    public async Task A_slow_save_in_pieces_is_one_edit()
    {
        using LiveSettings live = Open(TimeProvider.System);
        Task<SettingsSnapshot> changed = NextChange(live);
        byte[] text = Encoding.UTF8.GetBytes("heat.cambium.act = \"38 °C\"\nheat.cambium.urgent = \"41 °C\"\n");
        using (FileStream stream = File.Create(PathOf("thresholds.toml")))
        {
            foreach (byte[] piece in text.Chunk(20))
            {
                stream.Write(piece);
                stream.Flush(flushToDisk: true);
                await Task.Delay(40, TestContext.Current.CancellationToken);
            }
        }

        SettingsSnapshot snapshot = await changed.WaitAsync(TimeSpan.FromSeconds(30), TestContext.Current.CancellationToken);

        Assert.Equal((2, OutcomeKind.Accepted, 2), (snapshot.Version, snapshot.Kind, snapshot.Changes.Count));
    }

    [Fact]
    public async Task A_round_that_starts_waits_for_an_edit_under_way()
    {
        using LiveSettings live = Open(TimeProvider.System);
        File.WriteAllText(PathOf("thresholds.toml"), "heat.cambium.act = \"38 °C\"\n");

        SettingsSnapshot snapshot = await live.SettleAsync(TestContext.Current.CancellationToken);

        Assert.Equal(2, snapshot.Version);
    }

    [Fact]
    public async Task A_folder_that_does_not_tell_is_looked_at_every_so_often()
    {
        var time = new FakeTimeProvider(new DateTimeOffset(2026, 5, 14, 4, 0, 0, TimeSpan.Zero));
        using LiveSettings live = LiveSettings.Open(folder, new LiveSettingsOptions(), time).Value!;
        File.WriteAllText(PathOf("thresholds.toml"), "heat.cambium.act = 38\n");
        for (int second = 0; second < 70 && live.Current.IsHealthy; second++)
        {
            time.Advance(TimeSpan.FromSeconds(1));
            await Task.Yield();
        }

        Assert.False(live.Current.IsHealthy);
        Assert.Contains("38 has no unit", live.Current.Notice, StringComparison.Ordinal);
    }

    private LiveSettings Open(TimeProvider time)
    {
        Loaded<LiveSettings> loaded = LiveSettings.Open(folder, Quick, time);
        Assert.True(loaded.IsValid, loaded.ToString());
        return loaded.Value;
    }

    private static Task<SettingsSnapshot> NextChange(LiveSettings live)
    {
        var next = new TaskCompletionSource<SettingsSnapshot>(TaskCreationOptions.RunContinuationsAsynchronously);
        live.Changed += snapshot => next.TrySetResult(snapshot);
        return next.Task;
    }

    private string PathOf(string name) => Path.Combine(folder, name);
}
