using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Aftercare.Trade;
using GraftWatch.Rounds.Replaying;
using GraftWatch.Rounds.Tests.Fakes;
using GraftWatch.Settings;
using NodaTime;

namespace GraftWatch.Rounds.Tests.Replaying;

public sealed class SeasonMemoryTests
{
    private static readonly Instant Morning = Some.At("2026-05-12T03:30:00Z");
    private static readonly Handbook Handbook = SettingsLoader.LoadHandbook(folder: null).Value!;
    private readonly SeasonMemory memory = new(SeasonWork.AsAdvised, Handbook, []);

    [Fact]
    public void Work_on_the_film_takes_no_cover_and_no_tie_off()
    {
        Take(WorkAction.FilmOff, hazard: null, Handbook.Work["film-off"].Bring);
        Assert.Empty(memory.Observations);
        Assert.Equal(SaidState.Done, Assert.Single(memory.Said).State);
    }

    [Theory]
    [InlineData("foil sleeve", "foil")]
    [InlineData("20 × foil sleeve", "foil")]
    [InlineData("20 × old foil sleeve", "foil-old")]
    public void A_shaded_graft_has_the_cover_the_line_brings(string thing, string cover)
    {
        Take(WorkAction.Shade, Hazard.Heat, [thing]);
        Assert.Equal([(ObservationKind.CoverOn, cover)], Traces());
    }

    [Fact]
    public void A_cover_that_goes_with_other_work_is_put_on_too_and_before_it()
    {
        Take(WorkAction.Reseal, Hazard.Drying, [.. Handbook.Work["reseal"].Bring, "3 × white paper sleeve"]);
        Assert.Equal([(ObservationKind.CoverOn, "paper"), (ObservationKind.Resealed, null)], Traces());
    }

    [Fact]
    public void A_seal_that_goes_with_a_cover_is_renewed_too()
    {
        Take(WorkAction.Shade, Hazard.Drying, ["foil sleeve", .. Handbook.Work["reseal"].Bring]);
        Assert.Equal([(ObservationKind.CoverOn, "foil"), (ObservationKind.Resealed, null)], Traces());
    }

    [Fact]
    public void Of_two_covers_the_outer_one_is_known()
    {
        Take(WorkAction.Shade, Hazard.Heat, ["white paper sleeve", "50 % shade cloth"]);
        Assert.Equal([(ObservationKind.CoverOn, "shade-cloth")], Traces());
    }

    [Theory]
    [InlineData(WorkAction.FrostCover, "fleece")]
    [InlineData(WorkAction.FrostCover, "foil sleeve")]
    public void A_cover_for_one_night_of_frost_does_not_stay(WorkAction action, string thing)
    {
        Take(action, Hazard.Frost, [thing, "pegs"]);
        Assert.Empty(memory.Observations);
    }

    private void Take(WorkAction action, Hazard? hazard, IReadOnlyList<string> materials)
    {
        var advice = new Advice
        {
            Id = "1",
            Action = action,
            Hazard = hazard,
            Level = Level.Act,
            Grafts = ["A-1"],
            Where = string.Empty,
            Unions = 1,
            Reasons = [],
            Materials = materials,
            Text = "Work.",
            Why = "Because.",
            Place = "home",
        };
        var round = new Round
        {
            Date = Some.Date("2026-05-12"),
            Now = Morning,
            Grower = "Ilse",
            Units = UnitSystem.Metric,
            Places = [],
            Advice = [advice],
            Stages = [],
            Fine = [],
            NotChecked = [],
        };
        memory.Take(round, Morning);
    }

    private IEnumerable<(ObservationKind, string?)> Traces() => memory.Observations.Select(trace => (trace.Kind, trace.Words));
}
