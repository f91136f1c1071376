using GraftWatch.Aftercare.Climate;

namespace GraftWatch.Aftercare.Advising;

/// <summary>Safety words for work that can hurt; general advice that defers to labels, local rules and licensed practice.</summary>
internal static class Cautions
{
    /// <summary>Unions higher than this are reached from a ladder. [m]</summary>
    private const double LadderFromM = 1.9;

    /// <summary>Zenith angle of the sun at which civil twilight ends. [°]</summary>
    private const double TwilightZenithDeg = 96;

    private const string Dark = "In the dark: head lamp, firm boots, somebody who knows where you are, and no ladder; what cannot be reached from the ground is better left.";
    private const string Knife = "Knife: thumb out of the way, cut away from your hand, plasters in the bag; wipe the blade with alcohol between trees.";
    private const string Ladder = "Ladder: three points of contact, third leg uphill, nobody below, not in strong wind, well away from power lines.";
    private const string Paint = "Paint: plain white interior latex thinned with water, none on buds; follow the label.";
    private const string Frost = "No open flame under covers, no burning of tyres; outdoor lamps only on cords made for it.";
    /// <summary>Warmest wax that is brushed on. [°C], common practice, no source.</summary>
    private const double WarmestWaxC = 70;

    private static readonly string[] Heaters = ["burner", "heater", "lamp", "candle", "fire"];

    private const string Spray = "If you treat pests or feed, use only what is labelled for the crop; the label and local advice rule.";

    private static bool SpeaksOfFire(WorkItem item) => item.Choice?.Remedy is { } remedy
        && remedy.Bring.Append(remedy.With).Any(words => Heaters.Any(heater => words.Contains(heater, StringComparison.OrdinalIgnoreCase)));

    // Work against the weather that is due at once, while the sun is below civil twilight.
    private static bool IsInTheDark(WorkItem item)
    {
        PlaceClimate climate = item.View.Climate;
        return item.Hazard is not null && item.DoBy <= climate.Now && climate.FirstAhead < climate.Hours && climate.Sky.SunZenithDeg[climate.FirstAhead] > TwilightZenithDeg;
    }

    /// <summary>The cautions of one line of work.</summary>
    internal static IReadOnlyList<string> For(WorkAction action, IReadOnlyList<WorkItem> items, UnitSystem units)
    {
        var cautions = new List<string>();
        if (action is WorkAction.SlitTie or WorkAction.Relieve or WorkAction.HeadBack or WorkAction.Regraft or WorkAction.SlopeStub or WorkAction.Train or WorkAction.AirLayer)
        {
            cautions.Add(Knife);
        }

        if (action is WorkAction.Whitewash or WorkAction.Guard)
        {
            cautions.Add(Paint);
        }

        if (action == WorkAction.FrostCover && items.Any(SpeaksOfFire))
        {
            cautions.Add(Frost);
        }

        if (action == WorkAction.Reseal)
        {
            cautions.Add($"Hot wax: melt it over water, below {UnitWords.Say(WarmestWaxC, "°C", units)}, never over a flame.");
        }

        if (action is WorkAction.Pests or WorkAction.Feed)
        {
            cautions.Add(Spray);
        }

        bool handsOn = action is not (WorkAction.Know or WorkAction.Wait or WorkAction.Water or WorkAction.Release or WorkAction.Ripen);
        bool dark = handsOn && items.Any(IsInTheDark);
        if (dark)
        {
            cautions.Add(Dark);
        }
        else if (handsOn && items.Any(item => item.View.Graft.HeightM > LadderFromM))
        {
            cautions.Add(Ladder);
        }

        bool cuts = action is WorkAction.Relieve or WorkAction.HeadBack or WorkAction.Pinch or WorkAction.RubOff or WorkAction.NurseOff or WorkAction.ChooseShoot or WorkAction.Train or WorkAction.Regraft or WorkAction.AirLayer;
        if (cuts)
        {
            cautions.AddRange(items.Select(item => item.View.Species.SkinCaution).OfType<string>().Distinct(StringComparer.Ordinal));
        }

        return cautions;
    }
}
