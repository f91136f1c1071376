using BenchmarkDotNet.Running;
using GraftWatch.Benchmarks.ForecastParsing;

BenchmarkSwitcher.FromAssembly(typeof(ForecastParsingBenchmark).Assembly).Run(args);
