using System.Diagnostics;
using System.Globalization;

namespace GraftWatch.Packaging.Tests;

/// <summary>A Debian machine for one test: this machine's system under a layer that forgets, in namespaces of its own, with systemd as its first process and, unless asked otherwise, this machine's loopback.</summary>
/// <remarks>Packages are installed, services run and users are made for real, and all of it is gone afterwards. Needs Linux, root, systemd and overlayfs.</remarks>
internal sealed class ScratchMachine : IAsyncDisposable
{
    internal const string AbsentReason = "Needs Linux, root, Debian's systemd (252 was tried) and dpkg, and a kernel that lets overlays be mounted.";

    private const string Boot =
        """
        set -e
        base=$1
        mount -t tmpfs tmpfs "$base"
        mkdir "$base/upper" "$base/work" "$base/root"
        root=$base/root
        mount -t overlay overlay -o lowerdir=/,upperdir="$base/upper",workdir="$base/work" "$root"
        mount -t proc proc "$root/proc"
        mount -t sysfs sysfs "$root/sys"
        mount --bind /dev "$root/dev"
        mount -t tmpfs tmpfs "$root/run"
        mount -t tmpfs tmpfs "$root/tmp"
        mount -t cgroup2 cgroup2 "$root/sys/fs/cgroup"
        mkdir -p "$root$2"
        mount --bind "$2" "$root$2"
        : >"$root/etc/fstab"
        rm -f "$root/usr/sbin/policy-rc.d" "$root/etc/dpkg/dpkg.cfg.d/docker" "$root/etc/dpkg/dpkg.cfg.d/excludes"
        printf '[Unit]\nDescription=A machine for one test\n' >"$root/etc/systemd/system/scratch.target"
        cd "$root"
        mkdir -p before
        pivot_root . before
        umount -l /before
        mount --make-rshared /
        exec env -i container=scratch PATH=/usr/sbin:/usr/bin:/sbin:/bin /lib/systemd/systemd --system --unit=scratch.target --log-target=console --log-level=info --show-status=no </dev/null
        """;

    private readonly Process outer;
    private readonly string folder;
    private readonly string first;
    private readonly Task<string> said;

    private ScratchMachine(Process outer, string folder, string first, string shared, Task<string> said)
    {
        this.outer = outer;
        this.folder = folder;
        this.first = first;
        this.said = said;
        Shared = shared;
    }

    /// <summary>A folder that is the same inside and outside.</summary>
    internal string Shared { get; }

    internal static async Task<ScratchMachine> StartOrSkipAsync()
    {
        Assert.SkipUnless(Shell.IsRoot && File.Exists("/lib/systemd/systemd") && Shell.Has("unshare") && Shell.Has("dpkg") && File.ReadAllText("/proc/filesystems").Contains("overlay", StringComparison.Ordinal), AbsentReason);
        string folder = Directory.CreateTempSubdirectory("graftwatch-machine-").FullName;
        string shared = Directory.CreateTempSubdirectory("graftwatch-shared-").FullName;
        Shell.Run("chmod", "755", shared).Fine();
        var start = new ProcessStartInfo("unshare", ["--mount", "--pid", "--ipc", "--uts", "--cgroup", "--fork", "--kill-child", "--propagation", "private", "bash", "-c", Boot, "boot", folder, shared])
        {
            RedirectStandardError = true,
            RedirectStandardOutput = true,
        };
        Process outer = Process.Start(start)!;
        Task<string> said = outer.StandardError.ReadToEndAsync();
        _ = outer.StandardOutput.ReadToEndAsync();
        var waited = Stopwatch.StartNew();
        while (true)
        {
            if (outer.HasExited)
            {
                Assert.Fail("The scratch machine did not start: " + await said);
            }

            string children = $"/proc/{outer.Id}/task/{outer.Id}/children";
            string first = File.Exists(children) ? (await File.ReadAllTextAsync(children)).Trim() : string.Empty;
            if (first.Length > 0 && !first.Contains(' ', StringComparison.Ordinal))
            {
                var machine = new ScratchMachine(outer, folder, first, shared, said);
                if (machine.Run("systemctl", "is-system-running").Results.Trim() is "running" or "degraded")
                {
                    return machine;
                }
            }

            Assert.True(waited.Elapsed < TimeSpan.FromSeconds(60), "The scratch machine's systemd did not come up.");
            await Task.Delay(100, TestContext.Current.CancellationToken);
        }
    }

    /// <summary>Runs a program inside.</summary>
    internal Shell.Said Run(params string[] command) =>
        Shell.RunIn("/", new Dictionary<string, string?> { ["DEBIAN_FRONTEND"] = "noninteractive", ["LC_ALL"] = "C.UTF-8" }, "nsenter", ["-t", first, "-m", "-p", "-i", "-u", "-C", .. command]);

    /// <summary>Runs a line of shell inside.</summary>
    internal Shell.Said Sh(string line) => Run("/bin/sh", "-c", line);

    /// <summary>A property of a unit.</summary>
    internal string Show(string property) => Run("systemctl", "show", "-P", property, "graftwatch.service").Fine().Trim();

    /// <summary>What the service wrote; there is no journal in here, so a drop-in sends it to a file.</summary>
    internal string Log() => Sh("cat /run/graftwatch.log 2>/dev/null").Results;

    internal async Task WaitAsync(Func<bool> condition, string what, double seconds = 90)
    {
        var waited = Stopwatch.StartNew();
        while (!condition())
        {
            Assert.True(waited.Elapsed < TimeSpan.FromSeconds(seconds), string.Create(CultureInfo.InvariantCulture, $"Waited in vain for {what}.\n{Run("systemctl", "status", "--no-pager", "graftwatch.service").All}\n{Log()}"));
            await Task.Delay(200, TestContext.Current.CancellationToken);
        }
    }

    public async ValueTask DisposeAsync()
    {
        // The first process of the namespace goes, and everything in it with it.
        Shell.Run("kill", "-KILL", first);
        await outer.WaitForExitAsync();
        await said;
        outer.Dispose();
        Directory.Delete(folder, recursive: true);
        Directory.Delete(Shared, recursive: true);
    }
}
