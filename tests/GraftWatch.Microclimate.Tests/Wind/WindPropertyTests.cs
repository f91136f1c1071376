using CsCheck;
using GraftWatch.Microclimate.Sites;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Microclimate.Wind;
using NodaTime;

namespace GraftWatch.Microclimate.Tests.Wind;

public class WindPropertyTests
{
    private static readonly Gen<ShootLoadInputs> AnyShoot =
        Gen.Select(Gen.Double[0.05, 1.5], Gen.Double[0.004, 0.05], Gen.Double[0.01, 1], Gen.Double[0.1, 1.2], Gen.Double[0, 1], Gen.Enum<ShootSupport>())
            .Select((length, diameter, strength, share, leaf, support) => new ShootLoadInputs
            {
                ShootLengthM = length,
                UnionDiameterM = diameter,
                StrengthFrac = strength,
                GustShareFrac = share,
                LeafFrac = leaf,
                Support = support,
            });

    [Fact]
    public void More_wind_means_more_moment_and_less_safety() =>
        Gen.Select(AnyShoot, Gen.Double[0.1, 35], Gen.Double[0.1, 10]).Sample((shoot, gust, more) =>
        {
            (double moment, double safety) = Load(shoot, gust);
            (double strongerMoment, double strongerSafety) = Load(shoot, gust + more);
            Assert.True(strongerMoment > moment && strongerSafety < safety);
        });

    [Fact]
    public void Thicker_or_better_healed_unions_are_safer_and_longer_shoots_are_not() =>
        Gen.Select(AnyShoot, Gen.Double[1, 35], Gen.Double[1.05, 2]).Sample((shoot, gust, factor) =>
        {
            double safety = Load(shoot, gust).Safety;
            Assert.Equal(Math.Pow(factor, 3), Load(shoot with { UnionDiameterM = factor * shoot.UnionDiameterM }, gust).Safety / safety, 1e-9);
            Assert.True(Load(shoot with { StrengthFrac = Math.Min(1, factor * shoot.StrengthFrac) }, gust).Safety >= safety);
            Assert.True(Load(shoot with { ShootLengthM = factor * shoot.ShootLengthM }, gust).Safety < safety);
        });

    [Fact]
    public void Any_tie_helps_and_a_stake_helps_more_than_none() =>
        Gen.Select(Gen.Double[0.05, 2], Gen.Double[0, 1]).Sample((length, share) =>
        {
            double free = ShootLeverage.ArmM(length, ShootSupport.Free);
            double tied = ShootLeverage.ArmM(length, ShootSupport.Tied, share * length);
            double best = ShootLeverage.ArmM(length, ShootSupport.Tied);
            Assert.InRange(tied, best - 1e-12, (0.5 * free) + 1e-12);
            Assert.Equal(0.25 * free, ShootLeverage.ArmM(length, ShootSupport.Staked), 1e-12);
            Assert.Equal(free / 6, best, 1e-12);
        });

    [Fact]
    public void The_gust_for_a_safety_gives_that_safety_back() =>
        Gen.Select(AnyShoot, Gen.Double[0.2, 20]).Sample((shoot, wanted) =>
        {
            double gust = ShootLoad.GustForSafetyMPerS(shoot, wanted);
            Assert.Equal(1, Load(shoot, gust).Safety / wanted, 1e-9);
        });

    [Fact]
    public void Drag_has_no_step_where_leaves_begin_to_fold_and_always_grows()
    {
        double below = ShootDrag.ForceN(ShootDrag.FoldingWindMPerS * (1 - 1e-12), 0.05);
        double above = ShootDrag.ForceN(ShootDrag.FoldingWindMPerS * (1 + 1e-12), 0.05);
        Assert.Equal(below, above, 1e-9);
        Gen.Select(Gen.Double[0, 40], Gen.Double[0.01, 5]).Sample((wind, more) =>
            Assert.True(ShootDrag.ForceN(wind + more, 0.05) > ShootDrag.ForceN(wind, 0.05)));
        Assert.Equal(ShootDrag.ForceN(20, 0.05, vogelExponent: 0), 4 * ShootDrag.ForceN(10, 0.05, vogelExponent: 0), 1e-9);
    }

    [Fact]
    public void Strength_rises_with_healing_between_its_ends() =>
        Gen.Select(Gen.Double[1, 60], Gen.Double[0, 200], Gen.Double[0.01, 50], Gen.Double[0.3, 1]).Sample((link, days, more, final) =>
        {
            double f = UnionStrength.Fraction(days, link, final);
            Assert.InRange(f, 0.005 * final * (1 - 1e-12), final);
            Assert.True(UnionStrength.Fraction(days + more, link, final) >= f);
        });

    [Fact]
    public void Stages_rise_in_strength_and_stay_below_whole_wood()
    {
        double[] shares = Enum.GetValues<JoinState>().Select(UnionStrength.OfState).ToArray();
        Assert.Equal(shares.Order(), shares);
        Assert.All(shares, share => Assert.InRange(share, 0.05, 1));
    }

    [Fact]
    public void The_rule_of_thumb_stays_in_its_limits_and_orders_its_helps() =>
        Gen.Select(Gen.Double[0, 1], Gen.Double[0.05, 2]).Sample((strength, length) =>
        {
            double bare = GustLimit.MPerS(strength, length, false, false);
            Assert.InRange(bare, 6, 20);
            Assert.True(GustLimit.MPerS(strength, length, true, false) >= bare);
            Assert.True(GustLimit.MPerS(strength, length, false, true) >= GustLimit.MPerS(strength, length, true, false));
        });

    [Fact]
    public void Gaps_and_impossible_inputs_are_not_numbers()
    {
        var shoot = new ShootLoadInputs { ShootLengthM = 0.5, UnionDiameterM = 0.01, StrengthFrac = 0.5, GustShareFrac = 1 };
        Assert.True(double.IsNaN(Load(shoot, double.NaN).Moment) && double.IsNaN(Load(shoot, double.NaN).Safety));
        Assert.True(double.IsNaN(Load(shoot, -1).Moment));
        Assert.Equal((0, double.PositiveInfinity), Load(shoot, 0));
        Assert.True(double.IsNaN(Load(shoot with { StrengthFrac = double.NaN }, 10).Safety));
        Assert.True(double.IsNaN(ShootLeverage.ArmM(0.5, ShootSupport.Tied, 0.6)));
        Assert.True(double.IsNaN(UnionStrength.Fraction(-1, 10)));
        Assert.True(double.IsNaN(UnionStrength.Fraction(1, 0)));
        Assert.True(double.IsNaN(UnionStrength.Fraction(1, 10, 1.2)));
        Assert.True(double.IsNaN(GustLimit.MPerS(1.1, 0.5, false, false)));
        Assert.True(double.IsNaN(GustLimit.MPerS(0.5, 0, false, false)));
        Assert.True(double.IsNaN(GustFactor.FromRoughness(3)));
        Assert.True(double.IsNaN(GustFactor.FromRoughness(double.NaN)));
        ShootLoad.Compute(shoot, [], [], []);
        Assert.Throws<ArgumentException>(() => ShootLoad.Compute(shoot, [1.0], new double[2], new double[1]));
        Assert.Throws<ArgumentException>(() => ShootLoad.Compute(shoot, [1.0], new double[1], new double[2]));
    }

    [Fact]
    public void Computing_a_season_of_loads_allocates_nothing()
    {
        var shoot = new ShootLoadInputs { ShootLengthM = 0.5, UnionDiameterM = 0.01, StrengthFrac = 0.5, GustShareFrac = 1 };
        double[] gusts = Enumerable.Range(0, 2400).Select(i => i % 25.0).ToArray();
        double[] moment = new double[2400], safety = new double[2400];
        ShootLoad.Compute(shoot, gusts, moment, safety);
        long before = GC.GetAllocatedBytesForCurrentThread();
        ShootLoad.Compute(shoot, gusts, moment, safety);
        Assert.Equal(0, GC.GetAllocatedBytesForCurrentThread() - before);
    }

    [Fact]
    public void Gusts_of_the_source_win_and_missing_ones_come_from_the_stronger_end_of_the_hour()
    {
        double[] wind = [2, 4, 3, double.NaN, 5, 6];
        double[] gust = [double.NaN, 9, double.NaN, double.NaN, double.NaN, 1];
        HourlyWeather weather = new HourlyWeather.Builder(Instant.FromUtc(2030, 5, 1, 0, 0), 6)
            .SetColumn(WeatherQuantity.WindMPerS, wind, WeatherOrigin.Forecast)
            .SetColumn(WeatherQuantity.GustMPerS, gust, WeatherOrigin.Forecast)
            .Build();
        var site = new Site { LatitudeDeg = 50, LongitudeDeg = 8, ElevationM = 200, RoughnessM = 0.1 };
        double factor = GustFactor.FromRoughness(0.1);
        var filled = new double[6];
        int derived = GustHours.Fill(weather, site, filled);
        Assert.Equal(2, derived);
        Assert.Equal([2 * factor, 9, 4 * factor, double.NaN, double.NaN, 1], filled);
        Assert.Throws<ArgumentException>(() => GustHours.Fill(weather, site, new double[5]));
    }

    [Fact]
    public void A_sheltered_low_shoot_feels_less_wind_than_a_high_open_one()
    {
        var open = new Site { LatitudeDeg = 50, LongitudeDeg = 8, ElevationM = 200 };
        Site sheltered = open with { ShelterWindFrac = 0.5 };
        Assert.Equal(0.5 * ShootGust.ShareFrac(open, 1, 0.4), ShootGust.ShareFrac(sheltered, 1, 0.4), 1e-12);
        Assert.True(ShootGust.ShareFrac(open, 0.3, 0.4) < ShootGust.ShareFrac(open, 1.5, 0.4));
        Assert.Equal(WindProfile.Ratio(1.2, open.RoughnessM), ShootGust.ShareFrac(open, 1, 0.4), 1e-12);
    }

    private static (double Moment, double Safety) Load(ShootLoadInputs shoot, double gust)
    {
        double[] moment = new double[1], safety = new double[1];
        ShootLoad.Compute(shoot, [gust], moment, safety);
        return (moment[0], safety[0]);
    }
}
