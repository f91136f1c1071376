using NodaTime;

namespace GraftWatch.Microclimate.Weather;

/// <summary>The weather of one place on an unbroken grid of UTC hours; a missing value is NaN, never an invented number.</summary>
/// <remarks>
/// Hour <c>i</c> ends at <see cref="FirstHourEnd"/> + i hours. See <see cref="WeatherQuantity"/> for what a stamp means:
/// radiation, rain and gust of index i belong to the hour that ends at the stamp, temperature, humidity and wind to the stamp
/// itself. <see cref="HourMean"/> brings an instant column to the same hour.
/// </remarks>
public sealed class HourlyWeather
{
    private readonly double[]?[] values;
    private readonly WeatherOrigin[]?[] origins;
    private readonly double[] nothing;

    private HourlyWeather(Instant firstHourEnd, int hours, double[]?[] values, WeatherOrigin[]?[] origins)
    {
        FirstHourEnd = firstHourEnd;
        Hours = hours;
        this.values = values;
        this.origins = origins;
        nothing = new double[hours];
        Array.Fill(nothing, double.NaN);
    }

    /// <summary>End of hour 0; a whole UTC hour.</summary>
    public Instant FirstHourEnd { get; }

    /// <summary>Number of hours, at least 1.</summary>
    public int Hours { get; }

    /// <summary>End of the last hour.</summary>
    public Instant LastHourEnd => EndOf(Hours - 1);

    /// <summary>The column of one quantity, length <see cref="Hours"/>; all NaN when no source has it.</summary>
    public ReadOnlySpan<double> this[WeatherQuantity quantity] => values[(int)quantity] ?? nothing;

    /// <summary>End of hour <paramref name="hour"/>, which may lie outside the grid.</summary>
    public Instant EndOf(int hour) => FirstHourEnd + Duration.FromHours(hour);

    /// <summary>Index of the hour that contains <paramref name="at"/> (the hour (end - 1 h, end]); may lie outside 0 … Hours - 1.</summary>
    public int IndexOf(Instant at)
    {
        long seconds = (at - FirstHourEnd).ToInt64Nanoseconds() / 1_000_000_000;
        return (int)Math.Ceiling(seconds / 3600.0);
    }

    /// <summary>Whether a quantity has at least one value.</summary>
    public bool Has(WeatherQuantity quantity)
    {
        double[]? column = values[(int)quantity];
        return column is not null && Array.Exists(column, double.IsFinite);
    }

    /// <summary>Where the value of one hour came from.</summary>
    public WeatherOrigin OriginOf(WeatherQuantity quantity, int hour) =>
        origins[(int)quantity] is { } column ? column[hour] : WeatherOrigin.Missing;

    /// <summary>Brings an instant column to means over the hour that ends at each stamp: the mean of the two ends.</summary>
    /// <param name="quantity">A column of instants, see <see cref="WeatherQuantity"/>.</param>
    /// <param name="destination">Receives <see cref="Hours"/> values. Hour 0 has no left end and takes the stamp's value; where one end is NaN the result is NaN.</param>
    /// <exception cref="ArgumentException"><paramref name="destination"/> has another length.</exception>
    public void HourMean(WeatherQuantity quantity, Span<double> destination)
    {
        if (destination.Length != Hours)
        {
            throw new ArgumentException($"Expected {Hours} hours.", nameof(destination));
        }

        ReadOnlySpan<double> instants = this[quantity];
        destination[0] = instants[0];
        for (int i = 1; i < instants.Length; i++)
        {
            destination[i] = 0.5 * (instants[i - 1] + instants[i]);
        }
    }

    /// <summary>Collects columns into an <see cref="HourlyWeather"/>.</summary>
    public sealed class Builder
    {
        private static readonly int Quantities = Enum.GetValues<WeatherQuantity>().Length;
        private readonly double[]?[] values = new double[]?[Quantities];
        private readonly WeatherOrigin[]?[] origins = new WeatherOrigin[]?[Quantities];
        private readonly Instant firstHourEnd;
        private readonly int hours;

        /// <summary>Starts a grid.</summary>
        /// <param name="firstHourEnd">End of the first hour; must be a whole UTC hour.</param>
        /// <param name="hours">Number of hours, at least 1.</param>
        /// <exception cref="ArgumentException">The stamp is not a whole hour.</exception>
        /// <exception cref="ArgumentOutOfRangeException">Less than one hour.</exception>
        public Builder(Instant firstHourEnd, int hours)
        {
            ArgumentOutOfRangeException.ThrowIfLessThan(hours, 1);
            if (firstHourEnd.ToUnixTimeTicks() % NodaConstants.TicksPerHour != 0)
            {
                throw new ArgumentException("The grid starts at a whole UTC hour.", nameof(firstHourEnd));
            }

            this.firstHourEnd = firstHourEnd;
            this.hours = hours;
        }

        /// <summary>Sets one value; NaN or infinite leaves the hour missing.</summary>
        /// <exception cref="IndexOutOfRangeException">The hour lies outside the grid.</exception>
        public Builder Set(WeatherQuantity quantity, int hour, double value, WeatherOrigin origin)
        {
            double[] column = values[(int)quantity] ??= NewColumn();
            WeatherOrigin[] from = origins[(int)quantity] ??= new WeatherOrigin[hours];
            bool known = double.IsFinite(value);
            column[hour] = known ? value : double.NaN;
            from[hour] = known ? origin : WeatherOrigin.Missing;
            return this;
        }

        /// <summary>Sets a whole column with one origin.</summary>
        /// <exception cref="ArgumentException">The column's length differs from the grid's.</exception>
        public Builder SetColumn(WeatherQuantity quantity, ReadOnlySpan<double> column, WeatherOrigin origin)
        {
            if (column.Length != hours)
            {
                throw new ArgumentException($"Expected {hours} hours.", nameof(column));
            }

            for (int i = 0; i < column.Length; i++)
            {
                Set(quantity, i, column[i], origin);
            }

            return this;
        }

        /// <summary>The weather collected so far; the builder must not be used again.</summary>
        public HourlyWeather Build() => new(firstHourEnd, hours, values, origins);

        private double[] NewColumn()
        {
            var column = new double[hours];
            Array.Fill(column, double.NaN);
            return column;
        }
    }
}
