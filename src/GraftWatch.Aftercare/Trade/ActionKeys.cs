using System.Text;
using GraftWatch.Aftercare.Advising;

namespace GraftWatch.Aftercare.Trade;

/// <summary>Keys of the kinds of work, as materials.toml and machine-readable output write them.</summary>
public static class ActionKeys
{
    private static readonly string[] Keys = [.. Enum.GetValues<WorkAction>().Select(Kebab)];

    /// <summary>The key of one kind of work, such as <c>slit-tie</c>.</summary>
    public static string Key(this WorkAction action) => Keys[(int)action];

    private static string Kebab(WorkAction action)
    {
        var key = new StringBuilder();
        foreach (char letter in action.ToString())
        {
            if (char.IsAsciiLetterUpper(letter) && key.Length > 0)
            {
                key.Append('-');
            }

            key.Append(char.ToLowerInvariant(letter));
        }

        return key.ToString();
    }
}
