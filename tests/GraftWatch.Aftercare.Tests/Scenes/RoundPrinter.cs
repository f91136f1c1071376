using System.Globalization;
using System.Text;
using GraftWatch.Aftercare.Advising;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Aftercare.Tests.Scenes;

/// <summary>Prints a round for approval: what a letter would say, without its layout.</summary>
internal static class RoundPrinter
{
    private static readonly LocalDateTimePattern Minute = LocalDateTimePattern.CreateWithInvariantCulture("ddd dd MMM HH:mm");
    private static readonly LocalDatePattern DayPattern = LocalDatePattern.CreateWithInvariantCulture("ddd dd MMM uuuu");

    internal static string Print(Round round)
    {
        var text = new StringBuilder();
        DateTimeZone zone = round.Places[0].Place.Zone;
        string At(Instant? at) => at is { } instant ? Minute.Format(instant.InZone(zone).LocalDateTime) : "-";
        string Day(LocalDate? date) => date is { } day ? day.ToString("dd MMM", CultureInfo.InvariantCulture) : "?";
        void Line(FormattableString line) => text.Append(line.ToString(CultureInfo.InvariantCulture)).Append('\n');

        Line($"{DayPattern.Format(round.Date)}, {round.Places[0].Place.Name}");
        foreach (Advice advice in round.Advice)
        {
            Line($"{advice.Level.ToString().ToUpperInvariant()} {advice.Text}");
            Line($"    why: {advice.Why}");
            Line($"    by {At(advice.DoBy)}; {string.Join(' ', advice.Grafts)}; {advice.Unions} unions; {advice.Minutes:0.#} min; bring: {string.Join(", ", advice.Materials)}");
            foreach (Reason reason in advice.Reasons)
            {
                Line($"    {reason.Quantity} at {At(reason.At)}: {reason.Without:0.0} -> {(reason.With is { } with ? with.ToString("0.0", CultureInfo.InvariantCulture) : "-")} {reason.Unit}, level {reason.Threshold:0.0}{(advice.Probability is { } p ? $", chance {p:0.00}" : "")}");
            }

            foreach (string caution in advice.Cautions)
            {
                Line($"    care: {caution}");
            }
        }

        foreach (GraftStage stage in round.Stages)
        {
            Line($"stage {stage.Graft}: {stage.Stage} {stage.HealingDays:0.0}, next {stage.NextStage?.ToString() ?? "-"} {Day(stage.Early)} / {Day(stage.Likely)} / {Day(stage.Late)}");
        }

        foreach (FineHazard fine in round.Fine)
        {
            Line($"fine {fine.Hazard}: {fine.Quantity} {fine.Value:0.0} {fine.Unit} at {fine.Graft}, {At(fine.At)}");
        }

        foreach (NotChecked gap in round.NotChecked)
        {
            Line($"not checked {gap.Hazard?.ToString() ?? (gap.IsEverything ? "anything" : gap.Task)} at {(gap.Graft.Length == 0 ? "all" : gap.Graft)}: {gap.Why}");
        }

        foreach (string assumed in round.Assumed)
        {
            Line($"assumed {assumed}");
        }

        return text.ToString();
    }
}
