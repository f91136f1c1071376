using System.Diagnostics;
using System.Globalization;
using GraftWatch.Microclimate.Stem;
using GraftWatch.Microclimate.Unions;

namespace GraftWatch.Benchmarks.Microclimate;

/// <summary>The fastest of many passes: what the code costs on a machine that others use at the same time.</summary>
internal static class BestOfPasses
{
    private const int Passes = 150;

    public static void Print(TextWriter to)
    {
        SkyHours sky = SkyHours.Compute(InventedYear.Place, InventedYear.Weather());
        var room = new UnionHours(InventedYear.Hours);
        UnionExposure Of(params CoverLayer[] covers) => new() { AspectDeg = 225, HeightM = 1, DiameterM = 0.02, Covers = covers };
        var kernel = new ConvectionKernel(0.02, Convection.OutdoorEnhancement);
        double sum = 0;

        to.WriteLine("| what | ns per hour |\n|---|---|");
        Row(to, "sky of a place", InventedYear.Hours, () => SkyHours.Compute(InventedYear.Place, sky.Weather));
        Row(to, "stem, bare", InventedYear.Hours, () => UnionClimateSteps.Fill(sky, Of(), room));
        Row(to, "stem under foil", InventedYear.Hours, () => UnionClimateSteps.Fill(sky, Of(InventedYear.Foil), room));
        Row(to, "stem under padded paper and foil", InventedYear.Hours, () => UnionClimateSteps.Fill(sky, Of(InventedYear.PaddedPaper, InventedYear.Foil), room));
        Row(to, "stem under padded paper, foil and film", InventedYear.Hours, () => UnionClimateSteps.Fill(sky, Of(InventedYear.PaddedPaper, InventedYear.Foil, InventedYear.Film), room));
        Row(to, "one union with its bud and fresh arrays for a year", InventedYear.Hours, () => UnionClimate.Compute(sky, Of(InventedYear.Foil)));
        SkyHours tenDays = SkyHours.Compute(InventedYear.Place, InventedYear.Weather(240));
        foreach (int aspects in new[] { 1, 8, 64 })
        {
            UnionExposure[] many = [.. Enumerable.Range(0, aspects).Select(i => Of(InventedYear.Foil) with { AspectDeg = 360.0 * i / aspects })];
            Row(to, $"each of {aspects} unions of a place with their bud, 240 hours", aspects * 240, () => UnionClimate.Compute(tenDays, many));
        }

        UnionExposure[] equal = [.. Enumerable.Range(0, 64).Select(_ => Of(InventedYear.Foil))];
        Row(to, "each of 64 equal unions, 240 hours", 64 * 240, () => UnionClimate.Compute(tenDays, equal));
        foreach (int hours in new[] { 240, 2400 })
        {
            SkyHours shorter = SkyHours.Compute(InventedYear.Place, InventedYear.Weather(hours));
            Row(to, $"stem under foil, {hours} hours instead of {InventedYear.Hours}", hours, () => UnionClimateSteps.Fill(shorter, Of(InventedYear.Foil), room));
        }

        Row(to, "convection, plain twin", 1024, () => sum += Convect(i => Convection.CoefficientWPerM2K(0.2 + (0.01 * i), 0.02, 12 + (i % 13), 10)));
        Row(to, "convection, kernel", 1024, () => sum += Convect(i => kernel.CoefficientWPerM2K(0.2 + (0.01 * i), 10, 2 + (i % 13))));
        GC.KeepAlive(sum);
    }

    private static double Convect(Func<int, double> coefficient)
    {
        double sum = 0;
        for (int i = 0; i < 1024; i++)
        {
            sum += coefficient(i);
        }

        return sum;
    }

    private static void Row(TextWriter to, string what, int hours, Action pass)
    {
        double best = double.PositiveInfinity;
        long enough = Stopwatch.GetTimestamp() + (3 * Stopwatch.Frequency);
        for (int i = 0; i < Passes || (best * hours < 1e5 && Stopwatch.GetTimestamp() < enough); i++)
        {
            long start = Stopwatch.GetTimestamp();
            pass();
            best = Math.Min(best, Stopwatch.GetElapsedTime(start).TotalNanoseconds / hours);
            if (i >= 20 && Stopwatch.GetTimestamp() > enough)
            {
                break;
            }
        }

        to.WriteLine(string.Create(CultureInfo.InvariantCulture, $"| {what} | {best:0.#} |"));
    }
}
