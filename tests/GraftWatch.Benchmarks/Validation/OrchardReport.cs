using System.Globalization;
using System.Text;
using GraftWatch.Microclimate.Tests.Unions;
using GraftWatch.Microclimate.Unions;
using NodaTime;

namespace GraftWatch.Benchmarks.Validation;

/// <summary>Runs the whole pipeline over the measured orchard year and writes the table and the picture of docs/validation.md.</summary>
internal static class OrchardReport
{
    public static void Write(string folder)
    {
        Directory.CreateDirectory(folder);
        OrchardYear year = OrchardYear.LoadOrSkip();
        SkyHours sky = SkyHours.Compute(OrchardYear.Place, year.ToWeather());
        File.WriteAllText(Path.Combine(folder, "orchard-year.md"), Table(sky));
        File.WriteAllText(Path.Combine(folder, "orchard-april.svg"), Picture(sky));
    }

    private static string Table(SkyHours sky)
    {
        var text = new StringBuilder("| stem | cover | day mean | p95 | p99 | max | night mean | night p5 | h > 30 °C |\n|---|---|---|---|---|---|---|---|---|\n");
        foreach ((double diameterM, string name, UnionExposure exposure) in Cases())
        {
            double[] cambiumC = UnionClimate.Compute(sky, exposure).CambiumC;
            var day = new List<double>();
            var night = new List<double>();
            int hot = 0;
            for (int i = 0; i < sky.Hours; i++)
            {
                double excessK = cambiumC[i] - sky.AirC[i];
                if (double.IsNaN(excessK))
                {
                    continue;
                }

                hot += cambiumC[i] > 30 ? 1 : 0;
                if (sky.GlobalWPerM2[i] > 50)
                {
                    day.Add(excessK);
                }
                else if (sky.GlobalWPerM2[i] < 1)
                {
                    night.Add(excessK);
                }
            }

            day.Sort();
            night.Sort();
            text.Append(CultureInfo.InvariantCulture, $"| {1000 * diameterM:0} mm | {name} | {day.Average():0.0} | {At(day, 0.95):0.0} | {At(day, 0.99):0.0} ")
                .Append(CultureInfo.InvariantCulture, $"| {day[^1]:0.0} | {night.Average():0.0} | {At(night, 0.05):0.0} | {hot} |\n");
        }

        return text.ToString();
    }

    private static IEnumerable<(double DiameterM, string Name, UnionExposure Exposure)> Cases()
    {
        CoverLayer Layer(string name, double absorbs, double passes, double emits, double gap) => new()
        {
            Name = name,
            SolarAbsorptanceFrac = absorbs,
            SolarTransmittanceFrac = passes,
            EmissivityFrac = emits,
            GapResistanceM2KPerW = gap,
        };
        CoverLayer Cloth(double shade) => new() { Name = "shade cloth", SolarAbsorptanceFrac = 0, EmissivityFrac = 0.9, ShadeFrac = shade };
        UnionExposure Of(double diameterM, double bark, params CoverLayer[] covers) =>
            new() { AspectDeg = 225, HeightM = 1, DiameterM = diameterM, BarkSolarAbsorptanceFrac = bark, Covers = covers };

        yield return (0.010, "bare, dark bark", Of(0.010, 0.80));
        yield return (0.010, "bare, grey bark", Of(0.010, 0.55));
        yield return (0.010, "whitewash", Of(0.010, 0.25));
        yield return (0.020, "bare, dark bark", Of(0.020, 0.80));
        yield return (0.020, "bare, grey bark", Of(0.020, 0.55));
        yield return (0.020, "whitewash", Of(0.020, 0.25));
        yield return (0.020, "foil, new", Of(0.020, 0.80, Layer("foil", 0.15, 0, 0.05, 0.03)));
        yield return (0.020, "foil, weathered", Of(0.020, 0.80, Layer("foil", 0.25, 0, 0.10, 0.03)));
        yield return (0.020, "white paper", Of(0.020, 0.80, Layer("paper", 0.20, 0.12, 0.92, 0.03)));
        yield return (0.020, "padded, brown", Of(0.020, 0.80, Layer("padded", 0.55, 0.02, 0.90, 0.10)));
        yield return (0.020, "padded, white", Of(0.020, 0.80, Layer("padded", 0.25, 0.05, 0.90, 0.10)));
        yield return (0.020, "stretch film", Of(0.020, 0.80, Layer("stretch film", 0.05, 0.85, 0.93, 0)));
        yield return (0.020, "shade cloth 30 %", Of(0.020, 0.80, Cloth(0.3)));
        yield return (0.020, "shade cloth 50 %", Of(0.020, 0.80, Cloth(0.5)));
        yield return (0.020, "shade cloth 70 %", Of(0.020, 0.80, Cloth(0.7)));
        yield return (0.040, "bare, dark bark", Of(0.040, 0.80));
        yield return (0.040, "foil, new", Of(0.040, 0.80, Layer("foil", 0.15, 0, 0.05, 0.03)));
    }

    private static double At(List<double> sorted, double share) => sorted[(int)(share * (sorted.Count - 1))];

    private static string Picture(SkyHours sky)
    {
        int from = sky.Weather.IndexOf(Instant.FromUtc(2015, 4, 23, 5, 0));
        const int hours = 96;
        var exposure = new UnionExposure { AspectDeg = 180, HeightM = 1, DiameterM = 0.02 };
        var foil = new CoverLayer { Name = "foil", SolarAbsorptanceFrac = 0.15, EmissivityFrac = 0.05, GapResistanceM2KPerW = 0.03 };
        UnionHours bare = UnionClimate.Compute(sky, exposure), covered = UnionClimate.Compute(sky, exposure with { Covers = [foil] });
        var svg = new StringBuilder();
        svg.Append("<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 760 340\" font-family=\"sans-serif\" font-size=\"12\">\n")
            .Append("<title>23 to 26 April 2015, south side of a 20 mm stem: air, bare cambium, cambium under foil, bud</title>\n")
            .Append("<style>text{fill:#333}.axis{stroke:#999}.air{stroke:#777}.bare{stroke:#b3450b}.foil{stroke:#1f6f8b}.bud{stroke:#5b3c88}path{fill:none;stroke-width:2}")
            .Append("@media(prefers-color-scheme:dark){text{fill:#ddd}.air{stroke:#aaa}.bare{stroke:#ff9a5c}.foil{stroke:#6ec6e6}.bud{stroke:#c0a3ef}}</style>\n");
        for (int c = -5; c <= 25; c += 5)
        {
            svg.Append(CultureInfo.InvariantCulture, $"<line class=\"axis\" x1=\"40\" x2=\"750\" y1=\"{Y(c):0.0}\" y2=\"{Y(c):0.0}\" stroke-width=\"{(c == 0 ? 1.5 : 0.4)}\"/>")
                .Append(CultureInfo.InvariantCulture, $"<text x=\"34\" y=\"{Y(c) + 4:0.0}\" text-anchor=\"end\">{c}</text>\n");
        }

        for (int d = 0; d < 4; d++)
        {
            svg.Append(CultureInfo.InvariantCulture, $"<text x=\"{40 + ((d + 0.5) * 177.5):0}\" y=\"330\" text-anchor=\"middle\">{23 + d} April</text>\n");
        }

        Line("air", "air", sky.AirC, 90);
        Line("bare", "cambium, bare", bare.CambiumC, 210);
        Line("foil", "cambium under foil", covered.CambiumC, 380);
        Line("bud", "bud at night", [.. bare.BudC.Select((b, i) => sky.SunIsUp[i] ? double.NaN : b)], 570);
        return svg.Append("</svg>\n").ToString();

        void Line(string css, string name, double[] valuesC, int legendX)
        {
            var path = new StringBuilder();
            for (int i = 0; i < hours; i++)
            {
                double v = valuesC[from + i];
                if (double.IsFinite(v))
                {
                    char move = path.Length == 0 || !double.IsFinite(valuesC[from + i - 1]) ? 'M' : 'L';
                    path.Append(CultureInfo.InvariantCulture, $"{move}{40 + (i * 710.0 / hours):0.0} {Y(v):0.0}");
                }
            }

            svg.Append(CultureInfo.InvariantCulture, $"<path class=\"{css}\" d=\"{path}\"/>")
                .Append(CultureInfo.InvariantCulture, $"<path class=\"{css}\" d=\"M{legendX} 14h22\"/><text x=\"{legendX + 28}\" y=\"18\">{name}</text>\n");
        }

        static double Y(double c) => 310 - ((c + 7) * 280 / 35);
    }
}
