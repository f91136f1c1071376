using GraftWatch.Settings.Reference;
using GraftWatch.Testing;

namespace GraftWatch.Settings.Tests.Reference;

public sealed class GeneratedFilesTests
{
    [Fact]
    public void The_page_of_thresholds_is_what_the_program_writes() =>
        Same(ThresholdsReference.Write(SettingsLoader.LoadHandbook(folder: null).Value!), "docs", "thresholds.md");

    [Fact]
    public void The_page_of_settings_is_what_the_program_writes() => Same(SettingsReference.Write(), "docs", "settings.md");

    [Fact]
    public void The_schemas_for_editors_are_what_the_program_writes()
    {
        IReadOnlyDictionary<string, string> schemas = EditorSchema.All();

        Assert.Equal(4, schemas.Count);
        Assert.Multiple(schemas.Select(s => (Action)(() => Same(s.Value, "config", "schema", s.Key))).ToArray());
    }

    // On a difference the new text is left beside the file as NAME.received.EXT: read it, then put it in the file's place.
    private static void Same(string written, params string[] parts)
    {
        string path = Repository.PathOf(parts);
        string received = Path.ChangeExtension(path, ".received" + Path.GetExtension(path));
        string kept = File.Exists(path) ? File.ReadAllText(path).Replace("\r\n", "\n", StringComparison.Ordinal) : string.Empty;
        if (kept == written)
        {
            File.Delete(received);
            return;
        }

        File.WriteAllText(received, written);
        Assert.Equal(kept, written);
    }
}
