using BenchmarkDotNet.Attributes;
using GraftWatch.Microclimate.Stem;

namespace GraftWatch.Benchmarks.Microclimate;

/// <summary>The kernel of the balance against its plain twin.</summary>
public class ConvectionBenchmarks
{
    private const int Cases = 1024;
    private readonly ConvectionKernel kernel = new(0.02, Convection.OutdoorEnhancement);

    [Benchmark(OperationsPerInvoke = Cases, Baseline = true)]
    public double Plain()
    {
        double sum = 0;
        for (int i = 0; i < Cases; i++)
        {
            sum += Convection.CoefficientWPerM2K(0.2 + (0.01 * i), 0.02, 12 + (i % 13), 10);
        }

        return sum;
    }

    [Benchmark(OperationsPerInvoke = Cases)]
    public double Kernel()
    {
        double sum = 0;
        for (int i = 0; i < Cases; i++)
        {
            sum += kernel.CoefficientWPerM2K(0.2 + (0.01 * i), 10, 2 + (i % 13));
        }

        return sum;
    }
}
