using System.Runtime.CompilerServices;

namespace GraftWatch.Microclimate;

/// <summary>Refuses values outside a stated range, naming the range.</summary>
internal static class Require
{
    /// <summary>Throws unless the value is a number from <paramref name="low"/> to <paramref name="high"/>.</summary>
    /// <exception cref="ArgumentOutOfRangeException">The value is NaN or outside the range.</exception>
    internal static void Within(double value, double low, double high, [CallerArgumentExpression(nameof(value))] string name = "")
    {
        if (!(value >= low && value <= high))
        {
            throw new ArgumentOutOfRangeException(name, value, FormattableString.Invariant($"{name} must be a number from {low} to {high}."));
        }
    }
}
