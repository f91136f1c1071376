using BenchmarkDotNet.Attributes;
using GraftWatch.Microclimate.Unions;
using GraftWatch.Microclimate.Weather;

namespace GraftWatch.Benchmarks.Microclimate;

/// <summary>Cost of one hour: of a place's sky, of a stem under its covers, of many unions at one place.</summary>
[MemoryDiagnoser]
public class UnionBenchmarks
{
    private readonly HourlyWeather weather = InventedYear.Weather();
    private readonly SkyHours sky = SkyHours.Compute(InventedYear.Place, InventedYear.Weather());
    private readonly UnionHours room = new(InventedYear.Hours);
    private readonly UnionExposure bare = new() { AspectDeg = 225, HeightM = 1, DiameterM = 0.02 };
    private readonly UnionExposure foil = new() { AspectDeg = 225, HeightM = 1, DiameterM = 0.02, Covers = [InventedYear.Foil] };

    private readonly UnionExposure three = new()
    {
        AspectDeg = 225,
        HeightM = 1,
        DiameterM = 0.02,
        Covers = [InventedYear.PaddedPaper, InventedYear.Foil, InventedYear.Film],
    };

    private readonly UnionExposure[] many =
    [
        .. from aspectDeg in Enumerable.Range(0, 8).Select(i => 45.0 * i)
           from covers in new CoverLayer[][] { [], [InventedYear.Foil], [InventedYear.PaddedPaper] }
           select new UnionExposure { AspectDeg = aspectDeg, HeightM = 1, DiameterM = 0.02, Covers = covers },
    ];

    [Benchmark(OperationsPerInvoke = InventedYear.Hours)]
    public SkyHours SkyOfAPlace() => SkyHours.Compute(InventedYear.Place, weather);

    [Benchmark(OperationsPerInvoke = InventedYear.Hours)]
    public void BareStem() => UnionClimateSteps.Fill(sky, bare, room);

    [Benchmark(OperationsPerInvoke = InventedYear.Hours, Baseline = true)]
    public void StemUnderFoil() => UnionClimateSteps.Fill(sky, foil, room);

    [Benchmark(OperationsPerInvoke = InventedYear.Hours)]
    public void StemUnderPaddedPaperFoilAndFilm() => UnionClimateSteps.Fill(sky, three, room);

    [Benchmark(OperationsPerInvoke = InventedYear.Hours)]
    public UnionHours OneUnionWithItsBud() => UnionClimate.Compute(sky, foil);

    [Benchmark(OperationsPerInvoke = 24 * InventedYear.Hours)]
    public IReadOnlyList<UnionHours> TwentyFourUnionsOfAPlace() => UnionClimate.Compute(sky, many);
}
