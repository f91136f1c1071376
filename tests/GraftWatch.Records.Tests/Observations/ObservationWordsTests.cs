using CsCheck;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Records.Observations;
using GraftWatch.Rounds.Answering;

namespace GraftWatch.Records.Tests.Observations;

public sealed class ObservationWordsTests
{
    [Theory]
    [InlineData("green tip", ObservationKind.GreenTip)]
    [InlineData("  Green-Tip. ", ObservationKind.GreenTip)]
    [InlineData("BUDBURST", ObservationKind.GreenTip)]
    [InlineData("leaf out", ObservationKind.LeafOut)]
    [InlineData("leaves  out", ObservationKind.LeafOut)]
    [InlineData("taken", ObservationKind.Taken)]
    [InlineData("tie cuts in", ObservationKind.TieGrooved)]
    [InlineData("tie loose", ObservationKind.TieSlack)]
    [InlineData("dead", ObservationKind.Dead)]
    [InlineData("failed", ObservationKind.Dead)]
    [InlineData("cover on", ObservationKind.CoverOn)]
    [InlineData("vented", ObservationKind.CoverVented)]
    [InlineData("cover_off", ObservationKind.CoverOff)]
    [InlineData("tie off", ObservationKind.TieOff)]
    [InlineData("slit tie", ObservationKind.TieOff)]
    [InlineData("staked", ObservationKind.Staked)]
    [InlineData("headed back", ObservationKind.HeadedBack)]
    [InlineData("stock shoots off", ObservationKind.StockShootsOff)]
    public void Words_of_the_trade_are_understood(string words, ObservationKind kind) =>
        Assert.Equal(new ObservationReading.Understood(kind), ObservationWords.Parse(words));

    [Theory]
    [InlineData("bbch 09", 9)]
    [InlineData("BBCH09", 9)]
    [InlineData("bbch 0", 0)]
    [InlineData("bbch: 99", 99)]
    public void A_BBCH_code_is_understood(string words, double code) =>
        Assert.Equal(new ObservationReading.Understood(ObservationKind.Bbch, code), ObservationWords.Parse(words));

    // 1 in = 25.4 mm exactly, 1 ft = 0.3048 m exactly (international yard and pound agreement, 1959).
    [Theory]
    [InlineData("shoot 12 cm", 0.12)]
    [InlineData("shoot 12cm", 0.12)]
    [InlineData("Shoot length: 120 mm", 0.12)]
    [InlineData("shoots 0.3 m", 0.3)]
    [InlineData("12.5 cm shoot", 0.125)]
    [InlineData("shoot 5 in", 0.127)]
    [InlineData("shoot 5\"", 0.127)]
    [InlineData("shoot 2 ft", 0.6096)]
    public void A_shoot_length_is_kept_in_metres(string words, double lengthM)
    {
        var read = Assert.IsType<ObservationReading.Understood>(ObservationWords.Parse(words));
        Assert.Equal(ObservationKind.ShootLength, read.Kind);
        Assert.Equal(lengthM, read.Value!.Value, 1e-12);
    }

    [Theory]
    [InlineData("cover on foil", "foil")]
    [InlineData("Cover on padded paper", "padded-paper")]
    public void A_cover_that_was_put_on_may_be_named(string words, string material) =>
        Assert.Equal(new ObservationReading.Understood(ObservationKind.CoverOn, null, material), ObservationWords.Parse(words));

    [Theory]
    [InlineData("gren tip", "green tip")]
    [InlineData("tie of", "tie off")]
    [InlineData("headed bak", "headed back")]
    [InlineData("dea", "dead")]
    [InlineData("shoot 12,5 cm", "shoot 12.5 cm")]
    [InlineData("shoot 12", "shoot 12 cm")]
    public void A_near_miss_is_answered_with_the_words_that_were_meant(string words, string meant)
    {
        var read = Assert.IsType<ObservationReading.NotUnderstood>(ObservationWords.Parse(words));
        Assert.Equal(meant, read.Nearest);
        Assert.Contains(meant, read.Why, StringComparison.Ordinal);
        Assert.IsType<ObservationReading.Understood>(ObservationWords.Parse(meant));
    }

    [Theory]
    [InlineData("")]
    [InlineData("  - ")]
    [InlineData("bbch")]
    [InlineData("bbch 100")]
    [InlineData("bbch -1")]
    [InlineData("bbch nine")]
    [InlineData("shoot 12 parsec")]
    [InlineData("shoot 0 cm")]
    [InlineData("shoot 900 cm")]
    [InlineData("shoot 1e3 cm")]
    [InlineData("shoot 1.2.3 cm")]
    [InlineData("the weather was nice")]
    public void What_cannot_be_noted_is_answered_with_a_sentence(string words)
    {
        var read = Assert.IsType<ObservationReading.NotUnderstood>(ObservationWords.Parse(words));
        Assert.Contains(read.Why[^1], ".?");
        Assert.True(read.Why.Length > 20);
    }

    [Fact]
    public void Every_example_is_understood_and_every_kind_has_one()
    {
        ObservationKind[] kinds = [.. ObservationWords.Examples.Select(example => Assert.IsType<ObservationReading.Understood>(ObservationWords.Parse(example)).Kind)];
        Assert.Equal(Enum.GetValues<ObservationKind>().Order(), kinds.Distinct().Order());
    }

    [Fact]
    public void No_words_throw() => Gen.String.Sample(words => ObservationWords.Parse(words) is not null);

    [Fact]
    public void Words_near_the_vocabulary_never_throw() =>
        Gen.Char["bchsotleaf0129 .,-\"mincft"].Array[0, 24].Sample(letters => ObservationWords.Parse(new string(letters)) is not null);

    [Fact]
    public void Every_kind_of_observation_has_words()
    {
        ObservationKind[] sayable = [.. ObservationWords.Examples.Select(words => Assert.IsType<ObservationReading.Understood>(ObservationWords.Parse(words)).Kind)];
        Assert.Empty(Enum.GetValues<ObservationKind>().Except(sayable));
    }

    // Wait and Know ask for nothing, so there is nothing to have done.
    [Fact]
    public void Every_work_a_letter_can_ask_for_can_be_said_to_be_done()
    {
        IEnumerable<WorkAction> seen = ObservationWords.Examples
            .Select(words => ((ObservationReading.Understood)ObservationWords.Parse(words)).Kind)
            .SelectMany(NotedWork.ClosedBy);
        IEnumerable<WorkAction> told = WorkWords.Examples.Select(words => WorkWords.Find(words)!.Value);
        Assert.Empty(Enum.GetValues<WorkAction>().Except([.. seen, .. told, WorkAction.Wait, WorkAction.Know]));
    }

    [Fact]
    public void No_words_mean_two_things() =>
        Assert.All(WorkWords.Examples, words => Assert.IsType<ObservationReading.NotUnderstood>(ObservationWords.Parse(words)));
}
