using GraftWatch.Settings.Toml;

namespace GraftWatch.Settings.Live;

/// <summary>Where in a file the value of a flat path such as <c>mail.host</c> or <c>place.Sorrel Bank.station</c> stands.</summary>
internal static class SettingLines
{
    /// <summary>The line, from 1; null when the file does not say it.</summary>
    internal static int? Find(TomlTable root, string path)
    {
        TomlTable table = root;
        string key = path;
        while (table.Find(key) is null)
        {
            if (table.Entries.FirstOrDefault(entry => key.StartsWith(entry.Key + ".", StringComparison.Ordinal)) is not { } entry)
            {
                return null;
            }

            key = key[(entry.Key.Length + 1)..];
            if (entry.Node is TomlTable inner)
            {
                table = inner;
            }
            else if (entry.Node is TomlList list && Named(list, key) is var (item, name))
            {
                table = item;
                key = key[(name.Length + 1)..];
            }
            else
            {
                return null;
            }
        }

        return table.Find(key)!.Line;
    }

    // Names may hold dots, and one may begin with another.
    private static (TomlTable Item, string Name)? Named(TomlList list, string key) => list.Items.OfType<TomlTable>()
        .Select(item => (Item: item, (item.Find("name")?.Node as TomlText)?.Value))
        .Where(pair => pair.Value is not null && key.StartsWith(pair.Value + ".", StringComparison.Ordinal))
        .OrderByDescending(pair => pair.Value!.Length)
        .Select(pair => ((TomlTable, string)?)(pair.Item, pair.Value!))
        .FirstOrDefault();
}
