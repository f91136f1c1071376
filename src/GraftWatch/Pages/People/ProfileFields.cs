using GraftWatch.Aftercare.Advising;
using GraftWatch.Pages.Language;
using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;
using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Urgent;
using NodaTime;

namespace GraftWatch.Pages.People;

/// <summary>The fields of a grower: when the letter comes, in which units, what comes between letters.</summary>
internal static class ProfileFields
{
    /// <summary>Units that can be chosen.</summary>
    internal static readonly (string Word, UnitSystem Value)[] Units = [("metric", UnitSystem.Metric), ("us", UnitSystem.UnitedStates)];

    private static readonly (string Word, string Value)[] Languages = [.. Enum.GetValues<PageLanguage>().Select(language => (language.Tag(), language.Tag()))];

    /// <summary>A form that shows a grower as they are.</summary>
    internal static PageForm Show(PageForm form, Grower grower, bool urgent, PageLanguage language) => form
        .With("hour", Days.Hour(grower.LetterTime))
        .With("units", Units.First(unit => unit.Value == grower.Units).Word)
        .With("language", language.Tag())
        .With("urgent", urgent ? "on" : string.Empty)
        .With("hold-from", grower.Wishes.HoldFrom is { } from ? Days.Hour(from) : string.Empty)
        .With("hold-until", grower.Wishes.HoldUntil is { } until ? Days.Hour(until) : string.Empty)
        .With("frost-passes", grower.Wishes.FrostPasses ? "on" : string.Empty)
        .With("picture", grower.Picture ? "on" : string.Empty)
        .With("calendar", grower.Calendar ? "on" : string.Empty);

    /// <summary>What a newcomer finds filled in.</summary>
    internal static PageForm Fresh(PageForm form, PageLanguage language) => form
        .With("hour", "06:00").With("units", "metric").With("language", language.Tag()).With("urgent", "on")
        .With("hold-from", "21:30").With("hold-until", "05:30").With("frost-passes", "on").With("picture", "on").With("calendar", "on").With("shelter", "open");

    /// <summary>Writes the fields.</summary>
    internal static void Write(Html html, PageContext page, PageForm form)
    {
        html.TextField(form, "hour", page.Say("profile.hour"), new FieldLook(page.Say("profile.hour-how"), Type: "time", IsRequired: true));
        html.ChoiceField(form, "units", page.Say("profile.units"), Units.Select(unit => (unit.Word, page.Say("profile.units-" + unit.Word))));
        html.ChoiceField(form, "language", page.Say("profile.language"), Languages.Select(language => (language.Word, page.Say("profile.language-" + language.Word))), page.Say("profile.language-how"));
        html.TickField(form, "urgent", page.Say("profile.urgent"), page.Say("profile.urgent-how"));
        html.TextField(form, "hold-from", page.Say("profile.hold-from"), new FieldLook(page.Say("profile.hold-how"), Type: "time"));
        html.TextField(form, "hold-until", page.Say("profile.hold-until"), new FieldLook(Type: "time"));
        html.TickField(form, "frost-passes", page.Say("profile.frost-passes"));
        html.TickField(form, "picture", page.Say("profile.picture"));
        html.TickField(form, "calendar", page.Say("profile.calendar"));
    }

    /// <summary>Units of the form that was sent.</summary>
    internal static UnitSystem UnitsOf(PageForm form) => form.Choice("units", Units);

    /// <summary>Reads the fields; what is wrong stands in the form.</summary>
    /// <param name="page">The request.</param>
    /// <param name="form">The form that was sent.</param>
    /// <param name="before">The grower as they were.</param>
    internal static Profile Read(PageContext page, PageForm form, Grower before)
    {
        LocalTime hour = form.Time("hour", required: true) ?? before.LetterTime;
        LocalTime? from = form.Time("hold-from");
        LocalTime? until = form.Time("hold-until");
        if (from is null != until is null)
        {
            form.Fault("hold-until", page.Say("profile.hold-both"));
        }

        string language = form.Choice("language", Languages);
        Grower grower = before with
        {
            LetterTime = hour,
            Units = UnitsOf(form),
            Wishes = new UrgentWishes(before.Wishes.MostADay, from, until, form.Flag("frost-passes")),
            Picture = form.Flag("picture"),
            Calendar = form.Flag("calendar"),
        };
        return new Profile(grower, form.Flag("urgent"), language);
    }
}

/// <summary>What the form of a grower says.</summary>
/// <param name="Grower">The grower.</param>
/// <param name="Urgent">Whether urgent notes come by mail.</param>
/// <param name="Language">Tag of the language of the pages.</param>
internal sealed record Profile(Grower Grower, bool Urgent, string Language);
