using GraftWatch.Microclimate.Radiation;
using GraftWatch.Microclimate.Solar;
using GraftWatch.Testing;

namespace GraftWatch.Microclimate.Tests.Radiation;

public class RadiationTests
{
    private const double RadPerDeg = Math.PI / 180;

    [Theory]
    [InlineData("Radiation/erbs.csv")]
    [InlineData("Radiation/erbs-regression.csv")]
    public void Global_light_splits_into_beam_and_diffuse_as_published(string file)
    {
        foreach (VectorRow row in VectorFile.Load(file).Rows)
        {
            BeamDiffuse parts = BeamDiffuse.Split(
                row["globalWPerM2"], row["zenithDeg"], Sunlight.ExtraterrestrialNormalWPerM2(row["dayOfYear"]));
            row.Check("diffuseWPerM2", parts.DiffuseWPerM2);
            row.Check("beamWPerM2", parts.BeamNormalWPerM2);
        }
    }

    [Theory]
    [InlineData(90)]
    [InlineData(87.1)]
    [InlineData(120)]
    public void A_sun_on_the_horizon_casts_no_beam(double zenithDeg)
    {
        BeamDiffuse parts = BeamDiffuse.Split(1, zenithDeg, 1330);
        Assert.Equal(0, parts.BeamNormalWPerM2);
        Assert.Equal(1, parts.DiffuseWPerM2);
    }

    [Fact]
    public void A_missing_global_gives_no_parts()
    {
        Assert.True(double.IsNaN(BeamDiffuse.Split(double.NaN, 40, 1330).BeamNormalWPerM2));
        Assert.True(double.IsNaN(BeamDiffuse.Split(double.NaN, 40, 1330).DiffuseWPerM2));
        Assert.True(double.IsNaN(BeamDiffuse.Split(double.NaN, 100, 1330).BeamNormalWPerM2));
    }

    [Fact]
    public void Light_on_a_tilted_plane_is_the_published_one_part_by_part()
    {
        foreach (VectorRow row in VectorFile.Load("Radiation/hay-davies.csv").Rows)
        {
            (double cosIncidence, double normalUp) = Plane(40, 180, row["zenithDeg"], row["azimuthDeg"]);
            double cosZenith = Math.Cos(row["zenithDeg"] * RadPerDeg);
            double index = PatchLight.BeamIndex(row["beamWPerM2"], row["topWPerM2"]);
            row.Check("skyWPerM2", PatchLight.SkyWPerM2(row["diffuseWPerM2"], index, cosIncidence, cosZenith, normalUp));
            row.Check("isotropicWPerM2", PatchLight.SkyWPerM2(row["diffuseWPerM2"], 0, cosIncidence, cosZenith, normalUp));
            row.Check("groundWPerM2", PatchLight.GroundWPerM2(row["globalWPerM2"], row["albedoFrac"], normalUp));
            row.Check("onPlaneWPerM2", row["beamWPerM2"] * Math.Max(0, cosIncidence));
        }
    }

    [Fact]
    public void Upright_patches_receive_what_vertical_planes_do()
    {
        (double east, double north, double up) = Sun(60, 200);
        foreach (VectorRow row in VectorFile.Load("Radiation/vertical-patches.csv").Rows)
        {
            StemGeometry stem = StemGeometry.Of(0, 0, row["aspectDeg"]);
            double cosIncidence = stem.CosIncidence(east, north, up);
            row.Check("beamWPerM2", 700 * Math.Max(0, cosIncidence));
            row.Check("skyWPerM2", PatchLight.SkyWPerM2(100, PatchLight.BeamIndex(700, 1400), cosIncidence, up, stem.NormalUp));
            row.Check("groundWPerM2", PatchLight.GroundWPerM2(450, 0.2, stem.NormalUp));
        }
    }

    [Fact]
    public void Planes_meet_the_sun_at_the_published_angles()
    {
        foreach (VectorRow row in VectorFile.Load("Radiation/incidence.csv").Rows)
        {
            row.Check("cosIncidence", Plane(row["slopeDeg"], row["aspectDeg"], row["zenithDeg"], row["azimuthDeg"]).CosIncidence);
        }
    }

    [Fact]
    public void Leaning_stems_meet_the_sun_at_the_computed_angles()
    {
        foreach (VectorRow row in VectorFile.Load("Radiation/stem-geometry.csv").Rows)
        {
            StemGeometry stem = StemGeometry.Of(row["tiltDeg"], row["leanDeg"], row["aspectDeg"]);
            (double east, double north, double up) = Sun(row["zenithDeg"], row["azimuthDeg"]);
            row.Check("sinAxis", stem.SinAxisToSun(east, north, up));
            row.Check("cosIncidence", stem.CosIncidence(east, north, up));
            row.Check("normalUp", stem.NormalUp);
        }
    }

    [Fact]
    public void Mean_of_the_lit_cosine_around_a_stem_is_one_over_pi()
    {
        const int steps = 100_000;
        double sum = 0;
        for (int i = 0; i < steps; i++)
        {
            sum += Math.Max(0, Math.Cos(2 * Math.PI * (i + 0.5) / steps));
        }

        Assert.Equal(1 / Math.PI, sum / steps, 8);
    }

    [Theory]
    [InlineData(0, 0)]
    [InlineData(30, 90)]
    [InlineData(70, 210)]
    public void Beam_on_the_whole_lateral_surface_is_the_mean_over_its_patches(double tiltDeg, double leanDeg)
    {
        (double east, double north, double up) = Sun(55, 160);
        double axisEast = Math.Sin(tiltDeg * RadPerDeg) * Math.Sin(leanDeg * RadPerDeg);
        double axisNorth = Math.Sin(tiltDeg * RadPerDeg) * Math.Cos(leanDeg * RadPerDeg);
        double axisUp = Math.Cos(tiltDeg * RadPerDeg);

        // Two directions square to the axis, then patches all around it.
        (double aE, double aN, double aU) = (Math.Cos(leanDeg * RadPerDeg), -Math.Sin(leanDeg * RadPerDeg), 0);
        (double bE, double bN, double bU) = ((axisNorth * aU) - (axisUp * aN), (axisUp * aE) - (axisEast * aU), (axisEast * aN) - (axisNorth * aE));
        double sum = 0;
        const int patches = 20_000;
        for (int i = 0; i < patches; i++)
        {
            (double s, double c) = Math.SinCos(2 * Math.PI * (i + 0.5) / patches);
            sum += Math.Max(0, (((c * aE) + (s * bE)) * east) + (((c * aN) + (s * bN)) * north) + (((c * aU) + (s * bU)) * up));
        }

        Assert.Equal(sum / patches, StemGeometry.Of(tiltDeg, leanDeg, 180).LateralBeamFrac(east, north, up), 1e-7);
    }

    [Fact]
    public void A_level_shoot_seen_from_its_tip_faces_the_ground()
    {
        StemGeometry stem = StemGeometry.Of(90, 180, 180);
        Assert.Equal(-1, stem.NormalUp, 9);
        Assert.Equal(0, stem.NormalEast, 9);
    }

    [Theory]
    [InlineData(0, 10)]
    [InlineData(45, 15)]
    [InlineData(90, 20)]
    [InlineData(315, 10)]
    [InlineData(359.9, 10)]
    public void The_skyline_is_linear_between_its_points(double azimuthDeg, double expectedDeg)
    {
        double[] horizonDeg = [10, 20, 20, 10];
        Assert.Equal(expectedDeg, Skyline.HeightDeg(horizonDeg, azimuthDeg), 1e-9);
        Assert.Equal(0, Skyline.HeightDeg([], azimuthDeg));
    }

    private static (double East, double North, double Up) Sun(double zenithDeg, double azimuthDeg)
    {
        (double sinZenith, double cosZenith) = Math.SinCos(zenithDeg * RadPerDeg);
        (double sinAzimuth, double cosAzimuth) = Math.SinCos(azimuthDeg * RadPerDeg);
        return (sinZenith * sinAzimuth, sinZenith * cosAzimuth, cosZenith);
    }

    /// <summary>A plane as the patch of a stem that leans away from the aspect by the complement of the slope.</summary>
    private static (double CosIncidence, double NormalUp) Plane(double slopeDeg, double aspectDeg, double zenithDeg, double azimuthDeg)
    {
        StemGeometry stem = StemGeometry.Of(90 - slopeDeg, aspectDeg + 180, aspectDeg);
        (double east, double north, double up) = Sun(zenithDeg, azimuthDeg);
        return (stem.CosIncidence(east, north, up), stem.NormalUp);
    }
}
