namespace GraftWatch.Microclimate.Tests.Stem;

/// <summary>Steady conduction in a disc by finite volumes in polar cells, solved by conjugate gradients: an oracle that shares nothing with the cosine series.</summary>
internal sealed class FiniteVolumes
{
    private readonly int rings;
    private readonly int sectors;
    private readonly double[] toOuterRing;
    private readonly double[] across;
    private readonly double toSurroundings;
    private readonly double surfaceConductance;
    private readonly double coefficient;
    private readonly double arc;

    public FiniteVolumes(double radiusM, double kWPerMK, double hWPerM2K, int rings = 40, int sectors = 120)
    {
        this.rings = rings;
        this.sectors = sectors;
        coefficient = hWPerM2K;
        double dr = radiusM / rings, angle = 2 * Math.PI / sectors;
        arc = radiusM * angle;
        toOuterRing = new double[rings];
        across = new double[rings];
        for (int r = 0; r < rings; r++)
        {
            toOuterRing[r] = kWPerMK * (r + 1) * dr * angle / dr;
            across[r] = kWPerMK * dr / ((r + 0.5) * dr * angle);
        }

        surfaceConductance = kWPerMK / (0.5 * dr);
        toSurroundings = arc / ((1 / hWPerM2K) + (1 / surfaceConductance));
    }

    /// <summary>Surface temperature above the surroundings by sector, the first one centred on the sun; absorbed light per area in W/m².</summary>
    public double[] Surface(Func<double, double> absorbedWPerM2)
    {
        int n = rings * sectors;
        var source = new double[n];
        for (int s = 0; s < sectors; s++)
        {
            // Light absorbed at the surface splits between the cell and the surroundings.
            double share = surfaceConductance / (surfaceConductance + coefficient);
            source[((rings - 1) * sectors) + s] = MeanOver(absorbedWPerM2, s) * arc * share;
        }

        double[] cells = Solve(source);
        var surface = new double[sectors];
        for (int s = 0; s < sectors; s++)
        {
            surface[s] = ((surfaceConductance * cells[((rings - 1) * sectors) + s]) + MeanOver(absorbedWPerM2, s))
                / (surfaceConductance + coefficient);
        }

        return surface;
    }

    private double MeanOver(Func<double, double> light, int sector)
    {
        const int parts = 20;
        double sum = 0;
        for (int i = 0; i < parts; i++)
        {
            sum += light(2 * Math.PI * (sector - 0.5 + ((i + 0.5) / parts)) / sectors);
        }

        return sum / parts;
    }

    private double[] Solve(double[] source)
    {
        double[] x = new double[source.Length], residual = (double[])source.Clone(), direction = (double[])source.Clone();
        var image = new double[source.Length];
        double norm = Dot(residual, residual), first = norm;
        for (int step = 0; step < 20_000 && norm > first * 1e-20; step++)
        {
            Apply(direction, image);
            double length = norm / Dot(direction, image);
            double before = norm;
            norm = 0;
            for (int i = 0; i < x.Length; i++)
            {
                x[i] += length * direction[i];
                residual[i] -= length * image[i];
                norm += residual[i] * residual[i];
            }

            for (int i = 0; i < x.Length; i++)
            {
                direction[i] = residual[i] + (norm / before * direction[i]);
            }
        }

        return x;
    }

    private void Apply(double[] t, double[] image)
    {
        Array.Clear(image);
        for (int r = 0; r < rings; r++)
        {
            for (int s = 0; s < sectors; s++)
            {
                int here = (r * sectors) + s, beside = (r * sectors) + ((s + 1) % sectors);
                Exchange(t, image, here, beside, across[r]);
                if (r + 1 < rings)
                {
                    Exchange(t, image, here, here + sectors, toOuterRing[r]);
                }
                else
                {
                    image[here] += toSurroundings * t[here];
                }
            }
        }
    }

    private static void Exchange(double[] t, double[] image, int a, int b, double conductance)
    {
        double flow = conductance * (t[a] - t[b]);
        image[a] += flow;
        image[b] -= flow;
    }

    private static double Dot(double[] a, double[] b)
    {
        double sum = 0;
        for (int i = 0; i < a.Length; i++)
        {
            sum += a[i] * b[i];
        }

        return sum;
    }
}
