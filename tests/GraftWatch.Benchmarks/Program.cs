using System.Globalization;
using BenchmarkDotNet.Configs;
using BenchmarkDotNet.Jobs;
using BenchmarkDotNet.Running;
using BenchmarkDotNet.Toolchains.InProcess.Emit;
using GraftWatch.Testing;

namespace GraftWatch.Benchmarks;

/// <summary>Runs the benchmarks named on the command line, <c>--filter '*'</c> for all; <c>letters COUNT</c> hands so many letters to a local server; <c>pages COUNT</c> times the grower's pages over so many grafts; <c>season</c> times a replayed season; <c>best</c> prints the fastest of many passes; <c>validate FOLDER</c> writes the tables and the picture of docs/validation.md.</summary>
internal static class BenchmarkProgram
{
    private static async Task Main(string[] args)
    {
        if (args is ["letters", string count])
        {
            await Letters.LetterThroughput.PrintAsync(int.Parse(count, CultureInfo.InvariantCulture), Console.Out);
            return;
        }

        if (args is ["pages", string grafts])
        {
            await Pages.PageTimes.PrintAsync(int.Parse(grafts, CultureInfo.InvariantCulture), Console.Out);
            return;
        }

        if (args is ["validate", string folder])
        {
            if (!SharedData.IsPresent)
            {
                Console.Error.WriteLine(SharedData.AbsentReason);
                Environment.ExitCode = 1;
                return;
            }

            Validation.OrchardReport.Write(folder);
            return;
        }

        if (args is ["best"])
        {
            Microclimate.BestOfPasses.Print(Console.Out);
            return;
        }

        if (args is ["season"])
        {
            Aftercare.SeasonBenchmarks.Print(Console.Out);
            return;
        }

        // Measured inside this process: the repository's build rules (warnings are errors, one artifacts folder) are not those
        // of the project the tool would otherwise write and build for every run.
        IConfig config = DefaultConfig.Instance.AddJob(Job.Default
            .WithToolchain(InProcessEmitToolchain.Instance)
            .WithWarmupCount(4)
            .WithIterationCount(12));
        BenchmarkSwitcher.FromAssembly(typeof(BenchmarkProgram).Assembly).Run(args, config);
    }
}
