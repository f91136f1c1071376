using GraftWatch.Aftercare.Advising;
using GraftWatch.Letters.Wording;
using NodaTime;

namespace GraftWatch.Letters.Outline;

/// <summary>A letter as words in order. Text and HTML print the same outline, so neither can say what the other hides.</summary>
/// <param name="Title">"Thursday 14 May 2026".</param>
/// <param name="Places">Names of the places, or empty.</param>
/// <param name="Number">"Letter 12 for Mara Quill", or the grower's name alone.</param>
/// <param name="Lead">The answer in one or two sentences.</param>
/// <param name="IsAlarm">Whether the lead says that something could not be done.</param>
/// <param name="Weather">Worst values at the unions in one sentence, or empty.</param>
/// <param name="Work">Advice, most pressing first.</param>
/// <param name="Sections">What follows, in order; empty ones are left out.</param>
/// <param name="Closing">Last lines: honesty, how to mark work done, how to stop.</param>
public sealed record LetterOutline(
    string Title,
    string Places,
    string Number,
    string Lead,
    bool IsAlarm,
    string Weather,
    IReadOnlyList<WorkBlock> Work,
    IReadOnlyList<OutlineSection> Sections,
    IReadOnlyList<ClosingLine> Closing)
{
    /// <summary>The outline of a round, for a page that says what the letter says.</summary>
    /// <param name="round">What to say.</param>
    /// <param name="context">What is known besides the round.</param>
    public static LetterOutline Of(Round round, LetterContext context) => OutlineBuilder.Build(round, context);

    /// <summary>How pressing an advice is on a local day.</summary>
    /// <param name="advice">The advice.</param>
    /// <param name="today">The day.</param>
    /// <param name="zone">Zone of its place.</param>
    public static Pressing PressingOf(Advice advice, LocalDate today, DateTimeZone zone) => PressingAdvice.Of(advice, today, zone);

    /// <summary>How a line of work is headed: "Urgent", "Today", "Due soon", "Worth knowing".</summary>
    /// <param name="pressing">How pressing.</param>
    public static string Heading(Pressing pressing) => Words.Of(pressing);
}

/// <summary>One line of work with all that belongs to it.</summary>
/// <param name="Number">Position, from 1.</param>
/// <param name="Pressing">How pressing.</param>
/// <param name="Headline">What to do.</param>
/// <param name="Facts">Where, when and why.</param>
/// <param name="Reasons">Why in numbers.</param>
/// <param name="Needs">Chance, what to bring, how long it takes, how long it has been open.</param>
/// <param name="Links">Links that mark the work, or null when there are none.</param>
/// <param name="Advice">The line of the round it says.</param>
public sealed record WorkBlock(
    int Number, Pressing Pressing, string Headline, IReadOnlyList<Fact> Facts, IReadOnlyList<ReasonLine> Reasons,
    IReadOnlyList<Fact> Needs, WorkLinks? Links, Advice Advice);

/// <summary>A named fact of a line of work.</summary>
/// <param name="Name">"Where".</param>
/// <param name="Words">What.</param>
public sealed record Fact(string Name, string Words);

/// <summary>A number behind an advice, in the grower's units.</summary>
/// <param name="Quantity">"Cambium temperature".</param>
/// <param name="At">When it peaks.</param>
/// <param name="Without">If nothing is done.</param>
/// <param name="With">After the work; null when the work does not change it.</param>
/// <param name="Level">The level it was held against.</param>
public sealed record ReasonLine(string Quantity, string At, string Without, string? With, string Level);

/// <summary>Links of one line of work.</summary>
/// <param name="Done">Marks it done.</param>
/// <param name="PutOff">Puts it off until tomorrow.</param>
/// <param name="NotNeeded">Says that it is not needed.</param>
public sealed record WorkLinks(Uri Done, Uri PutOff, Uri NotNeeded);

/// <summary>A part of the letter after the work.</summary>
/// <param name="Title">Its heading.</param>
/// <param name="Lines">Its lines.</param>
/// <param name="IsLoud">Whether it names something that failed.</param>
/// <param name="Brief">Shorter lines that may stand in HTML when the whole would be too long; null when there are none.</param>
public sealed record OutlineSection(string Title, IReadOnlyList<string> Lines, bool IsLoud = false, IReadOnlyList<string>? Brief = null);

/// <summary>A closing line, with a link where there is one.</summary>
/// <param name="Words">The line.</param>
/// <param name="Link">Where it leads, or null.</param>
public sealed record ClosingLine(string Words, Uri? Link = null);
