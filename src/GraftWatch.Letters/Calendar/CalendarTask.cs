using NodaTime;

namespace GraftWatch.Letters.Calendar;

/// <summary>One piece of dated work as calendars know it.</summary>
/// <param name="Uid">Stable for the same work on the same grafts, for ever.</param>
/// <param name="Sequence">Grows with every change: the number of the letter that changed it.</param>
/// <param name="IsCancelled">Whether the work is done or fell away.</param>
/// <param name="Changed">When it last changed.</param>
/// <param name="Span">When.</param>
/// <param name="Summary">What.</param>
/// <param name="Description">Why and what to bring.</param>
/// <param name="Location">Where.</param>
public sealed record CalendarTask(
    string Uid, int Sequence, bool IsCancelled, Instant Changed, CalendarSpan Span, string Summary, string Description, string Location);

/// <summary>Whole local days, or hours.</summary>
public abstract record CalendarSpan
{
    private CalendarSpan()
    {
    }

    /// <summary>Whole days, in whatever zone the reader is.</summary>
    /// <param name="First">First day.</param>
    /// <param name="Last">Last day, included.</param>
    public sealed record Days(LocalDate First, LocalDate Last) : CalendarSpan;

    /// <summary>Hours.</summary>
    /// <param name="From">Start.</param>
    /// <param name="Until">End.</param>
    public sealed record Hours(Instant From, Instant Until) : CalendarSpan;
}
