namespace GraftWatch.Conventions.Tests;

/// <summary>Plants a fault for each rule of the build and watches the build refuse it.</summary>
public sealed class BuildRulesTests : IDisposable
{
    private readonly ScratchTree tree = new();

    public void Dispose() => tree.Dispose();

    [Theory]
    [InlineData("GraftWatch.Microclimate", "GraftWatch.Aftercare")]
    [InlineData("GraftWatch.Aftercare", "GraftWatch.Rounds")]
    [InlineData("GraftWatch.Settings", "GraftWatch.Records")]
    [InlineData("GraftWatch.Letters", "GraftWatch.Forecasts")]
    [InlineData("GraftWatch.Records", "GraftWatch.Settings")]
    public async Task A_project_reference_beyond_the_table_stops_the_build(string project, string foreign)
    {
        string path = tree.Write($"src/{project}/{project}.csproj", Project($"<ProjectReference Include=\"../{foreign}/{foreign}.csproj\" />"));
        (int exit, string output) = await tree.DotnetAsync("msbuild", path, "-t:CheckReferenceTable", "-nologo");
        Assert.NotEqual(0, exit);
        Assert.Contains($"error GW0001: {project} may not reference {foreign}.", output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_reference_of_the_table_is_allowed()
    {
        string path = tree.Write("src/GraftWatch.Rounds/GraftWatch.Rounds.csproj", Project("<ProjectReference Include=\"../GraftWatch.Aftercare/GraftWatch.Aftercare.csproj\" />"));
        (int exit, string output) = await tree.DotnetAsync("msbuild", path, "-t:CheckReferenceTable", "-nologo");
        Assert.True(exit == 0, output);
    }

    [Fact]
    public async Task A_package_in_the_pure_core_stops_the_build()
    {
        string path = tree.Write("src/GraftWatch.Aftercare/GraftWatch.Aftercare.csproj", Project("<PackageReference Include=\"MailKit\" />"));
        (int exit, string output) = await tree.DotnetAsync("msbuild", path, "-t:CheckReferenceTable", "-nologo");
        Assert.NotEqual(0, exit);
        Assert.Contains("error GW0002: GraftWatch.Aftercare is pure and may not take the package MailKit.", output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_version_written_in_a_project_stops_the_build()
    {
        string path = tree.Write("src/GraftWatch.Rounds/GraftWatch.Rounds.csproj", Project("<PackageReference Include=\"NodaTime\" Version=\"3.3.7\" />"));
        (int exit, string output) = await tree.DotnetAsync("restore", path);
        Assert.NotEqual(0, exit);
        Assert.Contains("NU1008", output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Clock_files_network_threads_and_chance_are_refused_in_the_pure_core()
    {
        string path = tree.Write("src/GraftWatch.Microclimate/GraftWatch.Microclimate.csproj", Project("<PackageReference Include=\"NodaTime\" />"));
        tree.Write(
            "src/GraftWatch.Microclimate/Impure.cs",
            """
            namespace GraftWatch.Microclimate;

            /// <summary>Everything the core may not do.</summary>
            public static class Impure
            {
                /// <summary>Reads the system clock.</summary>
                public static object Clock() => System.DateTime.UtcNow;

                /// <summary>Reads NodaTime's clock.</summary>
                public static object OtherClock() => NodaTime.SystemClock.Instance;

                /// <summary>Touches the disk.</summary>
                public static bool Disk() => System.IO.File.Exists("x");

                /// <summary>Touches the network.</summary>
                public static object Network() => new System.Net.Http.HttpClient();

                /// <summary>Waits.</summary>
                public static object Wait() => System.Threading.Tasks.Task.CompletedTask;

                /// <summary>Throws dice.</summary>
                public static object Chance() => new System.Random();

                /// <summary>Prints.</summary>
                public static void Print() => System.Console.WriteLine();
            }
            """);
        (int exit, string output) = await tree.DotnetAsync("build", path, "-v", "q", "--nologo");
        Assert.NotEqual(0, exit);
        foreach (string banned in (string[])["DateTime", "SystemClock", "System.IO", "System.Net", "System.Threading.Tasks", "Random", "Console"])
        {
            Assert.Contains($"error RS0030: The symbol '{banned}' is banned", output, StringComparison.Ordinal);
        }
    }

    [Fact]
    public async Task The_wall_clock_is_refused_in_the_shell()
    {
        string path = tree.Write("src/GraftWatch.Rounds/GraftWatch.Rounds.csproj", Project("<PackageReference Include=\"NodaTime\" />"));
        tree.Write("src/GraftWatch.Rounds/Clock.cs", "namespace GraftWatch.Rounds;\n\npublic static class Clock\n{\n    public static System.DateTimeOffset Now() => System.DateTimeOffset.UtcNow;\n}\n");
        (int exit, string output) = await tree.DotnetAsync("build", path, "-v", "q", "--nologo");
        Assert.NotEqual(0, exit);
        Assert.Contains("error RS0030", output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_possible_null_and_a_reflection_serializer_stop_the_build()
    {
        string path = tree.Write("src/GraftWatch.Rounds/GraftWatch.Rounds.csproj", Project(string.Empty));
        tree.Write(
            "src/GraftWatch.Rounds/Faults.cs",
            """
            namespace GraftWatch.Rounds;

            public static class Faults
            {
                public static int Null(string? text) => text.Length;

                public static string Reflect(object value) => System.Text.Json.JsonSerializer.Serialize(value);
            }
            """);
        (int exit, string output) = await tree.DotnetAsync("build", path, "-v", "q", "--nologo");
        Assert.NotEqual(0, exit);
        Assert.Contains("error CS8602", output, StringComparison.Ordinal);
        Assert.Contains("error IL2026", output, StringComparison.Ordinal);
        Assert.Contains("error IL3050", output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_public_member_of_the_pure_core_without_documentation_stops_the_build()
    {
        string path = tree.Write("src/GraftWatch.Aftercare/GraftWatch.Aftercare.csproj", Project(string.Empty));
        tree.Write("src/GraftWatch.Aftercare/Silent.cs", "namespace GraftWatch.Aftercare;\n\npublic static class Silent\n{\n}\n");
        (int exit, string output) = await tree.DotnetAsync("build", path, "-v", "q", "--nologo");
        Assert.NotEqual(0, exit);
        Assert.Contains("error CS1591", output, StringComparison.Ordinal);
    }

    private static string Project(string item) => $"<Project Sdk=\"Microsoft.NET.Sdk\"><ItemGroup>{item}</ItemGroup></Project>";
}
