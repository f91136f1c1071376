using BenchmarkDotNet.Configs;
using BenchmarkDotNet.Jobs;
using BenchmarkDotNet.Running;
using BenchmarkDotNet.Toolchains.InProcess.Emit;

// Measured inside this process: the repository's build rules (warnings are errors, one artifacts folder) are not those of the
// project the tool would otherwise write and build for every run.
IConfig config = DefaultConfig.Instance.AddJob(Job.Default
    .WithToolchain(InProcessEmitToolchain.Instance)
    .WithWarmupCount(4)
    .WithIterationCount(12));
BenchmarkSwitcher.FromAssembly(typeof(Program).Assembly).Run(args, config);
