using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Letters.Wording;
using NodaTime;

namespace GraftWatch.Letters.Outline;

/// <summary>How pressing a line is for a reader who plans a day: work whose last hour lies on another day can wait.</summary>
public enum Pressing
{
    /// <summary>First of all.</summary>
    Urgent = 0,

    /// <summary>Work for today.</summary>
    Today,

    /// <summary>Work with a later last day.</summary>
    Soon,

    /// <summary>For knowledge.</summary>
    Know,
}

/// <summary>Sorts advice by how pressing it is.</summary>
internal static class PressingAdvice
{
    /// <summary>How pressing an advice is on the letter's day.</summary>
    public static Pressing Of(Advice advice, LocalDate today, DateTimeZone zone) => advice.Level switch
    {
        Level.Urgent => Pressing.Urgent,
        Level.Act => advice.DoBy is { } by && !new Hours(today, zone).IsBeforeTomorrow(by) ? Pressing.Soon : Pressing.Today,
        _ => Pressing.Know,
    };
}
