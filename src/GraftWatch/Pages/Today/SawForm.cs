using GraftWatch.Pages.Rendering;
using GraftWatch.Pages.Routing;

namespace GraftWatch.Pages.Today;

/// <summary>"I saw …": one tap opens it, one tap notes it.</summary>
internal static class SawForm
{
    /// <summary>Words of <see cref="Records.Observations.ObservationWords"/> a button sends, in groups; the phrase of a button is <c>saw.</c> and the words with hyphens.</summary>
    internal static readonly (string Group, string[] Words)[] Groups =
    [
        ("buds", ["bbch 00", "bbch 03", "bbch 07", "green tip", "bbch 10", "leaf out", "bbch 15", "bbch 31", "bbch 91"]),
        ("take", ["taken", "dead", "blossom"]),
        ("tie", ["tie cuts in", "tie loose", "tie off"]),
        ("cover", ["cover vented", "cover closed", "cover off"]),
        ("work", ["staked", "tied in", "headed back", "stock shoots off", "resealed", "watered", "relief cuts"]),
    ];

    /// <summary>The phrase of a button.</summary>
    internal static string KeyOf(string words) => "saw." + words.Replace(' ', '-');

    /// <summary>Writes the form for one graft.</summary>
    /// <param name="html">The page.</param>
    /// <param name="page">The request.</param>
    /// <param name="label">The graft.</param>
    /// <param name="covers">Keys of covers that can be put on.</param>
    internal static void Saw(this Html html, PageContext page, string label, IEnumerable<string> covers)
    {
        html.Form(page, "/saw", () =>
        {
            html.Hidden("graft", label);
            Shoot(html, page);
            foreach ((string group, string[] words) in Groups)
            {
                using (html.In("fieldset", ("class", "saw")))
                {
                    html.Leaf("legend", page.Say("saw.group-" + group));
                    foreach (string word in words)
                    {
                        html.Button(page.Say(KeyOf(word)), "second", "saw", word);
                    }

                    if (group == "cover")
                    {
                        foreach (string cover in covers)
                        {
                            html.Button(page.Say("saw.cover-on", cover), "second", "saw", "cover on " + cover);
                        }
                    }
                }
            }

            html.Leaf("label", page.Say("saw.on"), ("for", "saw-on"));
            html.Void("input", ("type", "date"), ("id", "saw-on"), ("name", "on"), ("aria-describedby", "saw-on-hint"));
            html.Leaf("p", page.Say("saw.on-hint"), ("class", "hint"), ("id", "saw-on-hint"));
        });
    }

    // Enter in the field sends the first button of a form; it is this one, and the length is what was typed.
    private static void Shoot(Html html, PageContext page)
    {
        bool inches = page.Grower.Units == Aftercare.Advising.UnitSystem.UnitedStates;
        using (html.In("fieldset", ("class", "saw")))
        {
            html.Leaf("legend", page.Say("saw.group-shoot"));
            html.Leaf("label", page.Say("saw.shoot-length", inches ? "in" : "cm"), ("for", "saw-length"));
            using (html.In("div", ("class", "row")))
            {
                html.Void("input", ("type", "text"), ("inputmode", "decimal"), ("id", "saw-length"), ("name", "length"), ("class", "short"), ("autocomplete", "off"));
                html.Button(page.Say("saw.shoot"), null, "saw", "shoot");
            }
        }
    }
}
