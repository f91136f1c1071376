using GraftWatch.Aftercare.Explaining;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using NodaTime.Text;

namespace GraftWatch.Explaining;

/// <summary>The hours of <c>explain</c> as a picture that stands by itself, on light and on dark ground.</summary>
internal static class ExplainPicture
{
    private const string Style =
        """
        <style>
        text{fill:#222;font:12px sans-serif}.head{font:bold 14px sans-serif}.soft{fill:#555;font-size:11px}.end{text-anchor:end}
        .ground{fill:#fff}.axis,.frame{stroke:#ccc;fill:none}.line{fill:none;stroke-width:1.8}.air{stroke:#777}.bark{stroke:#b45309}.cambium{stroke:#b91c1c}
        .sun{fill:#d97706;opacity:.75}.sky{fill:#8fb0d8}.load{fill:#0f766e;opacity:.7}.act{stroke:#b91c1c;stroke-dasharray:6 4}.note{stroke:#a16207;stroke-dasharray:2 4}
        .zero{stroke:#1d4ed8;stroke-dasharray:6 4}.frost{fill:#1d4ed8}.gust{fill:#0f766e}.now{stroke:#222}
        @media (prefers-color-scheme:dark){text{fill:#e5e7eb}.soft{fill:#a1a1aa}.ground{fill:#16181d}.axis,.frame{stroke:#3f3f46}.air{stroke:#a1a1aa}
        .bark{stroke:#fbbf24}.cambium{stroke:#f87171}.sun{fill:#fbbf24}.sky{fill:#3b6ea8}.load{fill:#2dd4bf}.act{stroke:#f87171}.note{stroke:#fde047}.zero{stroke:#60a5fa}
        .frost{fill:#60a5fa}.gust{fill:#2dd4bf}.now{stroke:#e5e7eb}}
        </style>

        """;

    internal static string Svg(ExplainedGraft graft)
    {
        GraftHours hours = graft.Hours;
        Graft record = hours.Graft;
        Subject subject = SubjectOf(graft);
        ThresholdSet thresholds = graft.Request.Handbook.Thresholds;
        Levels heat = thresholds.Levels("heat.cambium", subject);
        double gust = thresholds.Number("wind.gust.act", subject);
        int[] shown = [.. Enumerable.Range(graft.First, graft.Last - graft.First + 1)];
        bool[] frosts = [.. shown.Select(hour => hours.Union.BudC[hour] < 0)];
        bool[] gusts = [.. shown.Select(hour => hours.GustMPerS[hour] >= gust)];
        string title = Format($"{record.Label}, {record.Species}, facing {record.AspectDeg:0}°, cover {record.Cover}, {hours.Place.Name}");
        return new HoursPicture
        {
            Title = title,
            Description = Format($"Air, outermost surface and cambium of {shown.Length} hours; bud below 0 °C in {frosts.Count(hit => hit)} of them."),
            Heading = title,
            Style = Style,
            Width = 900,
            TemperatureHeight = 220,
            Ends = [.. shown.Select(hours.EndOf)],
            Zone = hours.Place.Zone,
            Now = graft.Request.Now,
            Lines =
            [
                new PictureLine("air", "air", [.. shown.Select(hour => ExplainColumn.All[0].Value(hours, hour))]),
                new PictureLine("bark", "outermost surface", [.. shown.Select(hour => hours.Union.BarkC[hour])]),
                new PictureLine("cambium", "cambium", [.. shown.Select(hour => hours.Union.CambiumC[hour])]),
            ],
            Levels =
            [
                new PictureLevel("act", Format($"heat: act {heat.Act:0} °C"), heat.Act),
                new PictureLevel("note", Format($"heat: note {heat.Note:0} °C"), heat.Note),
                new PictureLevel("zero", "freezing 0 °C", 0),
            ],
            SkyWPerM2 = [.. shown.Select(hour => hours.Union.DiffuseOnUnionWPerM2[hour])],
            BeamWPerM2 = [.. shown.Select(hour => hours.Union.BeamOnUnionWPerM2[hour])],
            LoadFrac = LoadOf(hours, shown),
            Bands =
            [
                new PictureBand("frost", Format($"bud below 0 °C: {frosts.Count(hit => hit)} h"), frosts),
                new PictureBand("gust", Format($"gust over {3.6 * gust:0} km/h: {gusts.Count(hit => hit)} h"), gusts),
            ],
            Words = new PictureWords(
                celsius => Format($"{celsius:0} °C"),
                LocalDatePattern.CreateWithInvariantCulture("ddd d MMM").Format,
                "Sun on the union, up to 1000 W/m² (direct, sky and ground)",
                "Gusts on the shoot; the line is the strength of the union",
                "ahead →",
                "No temperature could be computed."),
        }.Svg();
    }

    /// <summary>Load of the gusts as a share of the union's strength; empty while there is no shoot.</summary>
    internal static IReadOnlyList<double> LoadOf(GraftHours hours, IReadOnlyList<int> shown) =>
        hours.ShootM > 0 ? [.. shown.Select(hour => hours.ShootSafety[hour] > 0 ? 1 / hours.ShootSafety[hour] : double.NaN)] : [];

    private static Subject SubjectOf(ExplainedGraft graft)
    {
        Graft record = graft.Hours.Graft;
        Stage stage = graft.Hours.Stage[graft.Last] ?? Stage.Set;
        return new Subject(record.Species, record.Technique, stage, record.Cover, record.Tie, record.Place);
    }

    private static string Format(FormattableString text) => FormattableString.Invariant(text);
}
