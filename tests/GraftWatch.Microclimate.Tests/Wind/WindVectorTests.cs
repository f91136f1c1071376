using GraftWatch.Microclimate.Wind;
using GraftWatch.Testing;

namespace GraftWatch.Microclimate.Tests.Wind;

public class WindVectorTests
{
    [Fact]
    public void Stress_and_moment_of_a_round_section_are_elementary_beam_theory()
    {
        foreach (VectorRow row in VectorFile.Load("Wind/beams.regression.csv").Rows)
        {
            row.Check("stressMPa", UnionBending.StressPa(row["momentNm"], row["diameterM"]) / 1e6);
            double back = UnionBending.MomentNm(row["diameterM"], row["stressMPa"] * 1e6);
            Assert.InRange(back / row["momentNm"], 0.9999, 1.0001);
        }
    }

    [Fact]
    public void Drag_on_a_folding_shoot_follows_its_documented_form()
    {
        foreach (VectorRow row in VectorFile.Load("Wind/drag.regression.csv").Rows)
        {
            row.Check("coefficient", ShootDrag.Coefficient(row["windMPerS"]));
            row.Check("forceN", ShootDrag.ForceN(row["windMPerS"], 0.05));
            row.Check("momentNm", ShootDrag.ForceN(row["windMPerS"], 0.05) * ShootLeverage.ArmM(0.5, ShootSupport.Free));
        }
    }

    [Fact]
    public void Drag_coefficient_at_20_m_per_s_lies_in_the_band_measured_on_broad_leaved_crowns()
    {
        // [Vollsinger2005]: 0.15 to 0.22 on the still-air area of cottonwood, alder, birch, aspen and maple crowns.
        Assert.InRange(ShootDrag.Coefficient(20), 0.15, 0.22);
    }

    [Fact]
    public void Gust_factor_follows_the_turbulence_of_the_profile()
    {
        foreach (VectorRow row in VectorFile.Load("Wind/gust-factor.regression.csv").Rows)
        {
            row.Check("factor", GustFactor.FromRoughness(row["roughnessM"]));
        }
    }

    [Fact]
    public void Gust_factor_of_open_farmland_is_the_published_inland_one()
    {
        // [Harper2010] table 1.1: 1.66 for a three-second gust on a ten-minute mean, roughly open terrain inland. From memory.
        Assert.InRange(GustFactor.FromRoughness(0.1), 1.66 - 0.03, 1.66 + 0.03);
    }

    [Fact]
    public void Safety_factor_is_resistance_over_moment()
    {
        foreach (VectorRow row in VectorFile.Load("Wind/safety.regression.csv").Rows)
        {
            var inputs = new ShootLoadInputs
            {
                ShootLengthM = 0.5,
                ShootDiameterM = 0,
                UnionDiameterM = 0.010,
                StrengthFrac = row["strengthFrac"],
                GustShareFrac = 1,
                WoodStrengthPa = 60e6,
            };
            var moment = new double[1];
            var safety = new double[1];
            ShootLoad.Compute(inputs, [row["windMPerS"]], moment, safety);
            row.Check("safety", safety[0]);
        }
    }

    [Fact]
    public void Rule_of_thumb_for_the_gust_limit_meets_its_cases()
    {
        foreach (VectorRow row in VectorFile.Load("Wind/gust-limit.regression.csv").Rows)
        {
            row.Check("gustMPerS", GustLimit.MPerS(row["strengthFrac"], row["shootLengthM"], tieIntact: false, staked: false));
        }
    }

    [Fact]
    public void Full_strength_shoot_of_20_cm_stands_the_gust_of_the_wind_tunnel()
    {
        // [Kang2007]: young kiwifruit shoots were torn off at 18.9 m/s in the more turbulent wind.
        Assert.InRange(GustLimit.MPerS(1, 0.20, tieIntact: false, staked: false), 18.9 - 0.2, 18.9 + 0.2);
    }

    [Fact]
    public void A_tie_at_the_top_leaves_the_moment_of_a_propped_cantilever()
    {
        // [Young2002] table 8.1 case 2c: wL²/8 at the built-in end; per unit of the whole load wL that is L/8.
        Assert.Equal(0.5 / 8, ShootLeverage.ArmM(0.5, ShootSupport.Tied, 0.5), 12);
    }

    [Fact]
    public void Strength_rises_in_the_shape_measured_on_Sedum()
    {
        // [Moore1983]: 1 g/mm² a day for two to three days, then a steep rise to 56 g/mm² at eleven days, then a plateau.
        // One free number, the day vessels link, has to meet both ends.
        const double link = 7.4;
        double third = UnionStrength.Fraction(3, link), eleventh = UnionStrength.Fraction(11, link);
        Assert.InRange(third / eleventh, 2.0 / 56, 3.0 / 56);
        Assert.InRange(eleventh, 0.95, 1.0);
        Assert.Equal(0.57, UnionStrength.Fraction(link, link), 12);
    }
}
