using GraftWatch.Forecasts.Quality;
using GraftWatch.Microclimate.Weather;
using NodaTime;

namespace GraftWatch.Forecasts.OpenForecast;

/// <summary>Fills the hours of one member from the columns of a location.</summary>
internal sealed class GridFill(ReplyDraft draft, ReplyReading reading, Instant firstHourEnd, int[] hours)
{
    private readonly int gridHours = hours[^1] + 1;

    /// <summary>Hours of the grid that are past.</summary>
    private readonly int pastHours = reading.StartOfForecast is not { } start
        ? 0
        : (int)Math.Clamp(Math.Floor((start - firstHourEnd).TotalHours) + 1, 0, hours[^1] + 1);

    public HourlyWeather Fill(int member, GapNotes? notes)
    {
        var builder = new HourlyWeather.Builder(firstHourEnd, gridHours);
        var filled = new bool[QuantityWords.All.Count][];
        foreach (ReplyDraft.Slot slot in draft.Slots.Where(s => s.Member == member && s.Values is not null).OrderBy(s => ReplyColumns.All[s.Column].Rank))
        {
            ReplyColumn column = ReplyColumns.All[slot.Column];
            ReplyUnit unit = draft.UnitOf(slot);
            if (!ReplyUnits.TryConversion(column.Measure, unit, out UnitConversion conversion))
            {
                if (unit != ReplyUnit.Undefined || slot.Values!.Values.ContainsAnyInRange(double.MinValue, double.MaxValue))
                {
                    notes?.UnitUnknown(column.Name, unit);
                }

                continue;
            }

            bool[] done = filled[(int)column.Quantity] ??= new bool[gridHours];
            FillColumn(builder, column, slot.Values!.Values, conversion, done, notes);
        }

        return builder.Build();
    }

    private void FillColumn(
        HourlyWeather.Builder builder, ReplyColumn column, ReadOnlySpan<double> written, UnitConversion conversion, bool[] done, GapNotes? notes)
    {
        (double low, double high) = PhysicalRange.Of(column.Quantity);
        for (int i = 0; i < written.Length; i++)
        {
            if (double.IsNaN(written[i]) || done[hours[i]])
            {
                continue;
            }

            double value = conversion.Apply(written[i]);
            int hour = hours[i];
            if (value >= low && value <= high)
            {
                builder.Set(column.Quantity, hour, value, hour < pastHours ? reading.PastOrigin : WeatherOrigin.Forecast);
                done[hour] = true;
            }
            else
            {
                notes?.OutOfRange(column.Quantity, value, firstHourEnd + Duration.FromHours(hour));
            }
        }
    }
}
