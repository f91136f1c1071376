namespace GraftWatch.EndToEnd.Tests.Pages;

/// <summary>Writes the grower's pages as files, for looking at them in a browser: run it by name with GRAFTWATCH_WRITE_PAGES set to a folder.</summary>
public sealed class GrowerPagesDump
{
    [Theory(Explicit = true)]
    [InlineData("en")]
    [InlineData("de")]
    public async Task Pages_are_written_for_looking_at(string language)
    {
        string? folder = Environment.GetEnvironmentVariable("GRAFTWATCH_WRITE_PAGES");
        Assert.SkipWhen(folder is null, "GRAFTWATCH_WRITE_PAGES names no folder.");
        await using GrowerRig rig = await GrowerRig.StartAsync(language: language);
        Directory.CreateDirectory(folder);
        foreach ((string name, string path) in new[]
        {
            ("today", "/today"), ("grafts", "/grafts"), ("one", "/grafts/one?label=A1-01"), ("covered", "/grafts/one?label=A1-02"), ("add", "/grafts/add?like=A1-01"),
            ("upload", "/grafts/upload"), ("plan", "/plan"), ("print", "/print"), ("labels", "/labels"), ("saw", "/saw?graft=A1-01"),
        })
        {
            Shown page = await rig.Browser.OpenAsync(path);
            string style = System.Text.RegularExpressions.Regex.Match(page.Text, "href=\"([^\"]+site.css)\"").Groups[1].Value;
            Shown css = await rig.Browser.OpenAsync(style);
            await File.WriteAllTextAsync(Path.Combine(folder, "site.css"), css.Text, TestContext.Current.CancellationToken);
            await File.WriteAllTextAsync(Path.Combine(folder, $"{name}.{language}.html"), page.Text.Replace(style, "site.css", StringComparison.Ordinal), TestContext.Current.CancellationToken);
            TestContext.Current.SendDiagnosticMessage($"{name} {page.Status} {page.Text.Length}");
        }
    }
}
