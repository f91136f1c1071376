using System.Globalization;
using System.Text;
using GraftWatch.Aftercare.Explaining;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Microclimate.Weather;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Explaining;

/// <summary>The hours as a table for people: local time, a short legend, and where the numbers come from.</summary>
internal static class ExplainTable
{
    private static readonly LocalDateTimePattern Day = LocalDateTimePattern.CreateWithInvariantCulture("ddd d MMM uuuu");
    private static readonly LocalDateTimePattern Hour = LocalDateTimePattern.CreateWithInvariantCulture("HH:mm");

    private static readonly (string Column, string Heading, int Width, string Format)[] Columns =
    [
        ("air_c", "air", 6, "0.0"), ("rh_pct", "rh", 4, "0"), ("wind_ms", "wind", 5, "0.0"), ("gust_ms", "gust", 5, "0.0"), ("ghi_wm2", "ghi", 5, "0"),
        ("sun_altitude_deg", "alt", 4, "0"), ("beam_on_union_wm2", "beam", 5, "0"), ("diffuse_on_union_wm2", "diff", 5, "0"), ("bark_c", "bark", 6, "0.0"),
        ("cambium_c", "camb", 6, "0.0"), ("tissue_night_c", "bud", 6, "0.0"), ("vpd_kpa", "vpd", 5, "0.0"), ("soil_c", "soil", 5, "0.0"),
        ("sap_index", "sap", 5, "0.00"), ("shoot_safety", "safe", 6, "0.0"), ("healing_rate", "rate", 5, "0.00"), ("healing_days", "heal", 6, "0.0"),
    ];

    internal static string Of(ExplainedGraft graft)
    {
        var text = new StringBuilder();
        Graft record = graft.Hours.Graft;
        text.Append(CultureInfo.InvariantCulture, $"{record.Label}: {record.Species}, {TradeNames.Key(record.Technique)}, made {LocalDatePattern.Iso.Format(record.Made)}, ");
        text.Append(CultureInfo.InvariantCulture, $"faces {record.AspectDeg:0}°, {100 * record.HeightM:0} cm up, {1000 * record.DiameterM:0} mm thick, cover {record.Cover}, ");
        text.Append(CultureInfo.InvariantCulture, $"at {graft.Hours.Place.Name} ({graft.Hours.Place.Zone.Id})\n");
        AppendHours(text, graft);
        AppendLegend(text, graft);
        return text.ToString();
    }

    private static void AppendHours(StringBuilder text, ExplainedGraft graft)
    {
        GraftHours hours = graft.Hours;
        ExplainColumn[] sources = [.. Columns.Select(column => ExplainColumn.All.First(candidate => candidate.Name == column.Column))];
        string heading = "hour to" + string.Concat(Columns.Select(column => column.Heading.PadLeft(column.Width))) + "  stage";
        string day = string.Empty;
        for (int hour = graft.First; hour <= graft.Last; hour++)
        {
            LocalDateTime local = hours.EndOf(hour).InZone(hours.Place.Zone).LocalDateTime;
            string thisDay = Day.Format(local.PlusMinutes(-30));
            if (thisDay != day)
            {
                text.Append('\n').Append(thisDay).Append('\n').Append(heading).Append('\n');
                day = thisDay;
            }

            // A mark beside the hours that lie ahead of the morning the table was made for.
            text.Append(Hour.Format(local)).Append(hours.EndOf(hour) > graft.Request.Now ? " >" : "  ");
            for (int column = 0; column < Columns.Length; column++)
            {
                double value = sources[column].Value(hours, hour);
                string number = !double.IsFinite(value) ? "." : value >= 1000 ? "999" : value.ToString(Columns[column].Format, CultureInfo.InvariantCulture);
                text.Append(number.PadLeft(Columns[column].Width));
            }

            text.Append("  ").Append(ExplainColumn.StageOf(hours, hour)).Append('\n');
        }
    }

    private static void AppendLegend(StringBuilder text, ExplainedGraft graft)
    {
        text.Append("\nhour to: local end of the hour; > lies ahead; a point: not computable.\n");
        foreach ((string name, string heading, _, _) in Columns)
        {
            ExplainColumn column = ExplainColumn.All.First(candidate => candidate.Name == name);
            string origins = column.Origin is null ? "computed" : string.Join(", ", graft.OriginsOf(column).Select(pair => $"{Words(pair.Origin)} {pair.Hours} h"));
            text.Append(CultureInfo.InvariantCulture, $"{heading,-5} {column.Meaning} [{origins}]\n");
        }

        text.Append("stage of the union, by the healing clock and what was seen\n");
        text.Append("Temperatures at the union are estimates of a model: within about 3 K on the sunny side.\n");
        foreach (string assumed in graft.Assumed)
        {
            text.Append("Assumed: ").Append(assumed).Append('\n');
        }
    }

    private static string Words(WeatherOrigin origin) => origin switch
    {
        WeatherOrigin.Missing => "missing",
        WeatherOrigin.Measured => "measured",
        WeatherOrigin.Analysed => "past by the model",
        WeatherOrigin.Forecast => "forecast",
        WeatherOrigin.Derived => "derived",
        _ => throw new System.Diagnostics.UnreachableException(),
    };
}
