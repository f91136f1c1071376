using System.Text;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Records.Engine;
using GraftWatch.Rounds.Ports;
using GraftWatch.Testing;

namespace GraftWatch.Records.Tests.Engine;

public sealed class StoredTests
{
    // A word that goes would no longer be read from stores and archives that exist. New ones may come: add them to the file.
    [Fact]
    public void Words_in_stores_and_archives_stay_readable()
    {
        Dictionary<string, Func<string, string>> lists = new(StringComparer.Ordinal);
        Add<Technique>(lists);
        Add<ShootSupport>(lists);
        Add<ObservationKind>(lists);
        Add<LetterKind>(lists);
        Add<LetterState>(lists);
        Add<StoppedBy>(lists);
        Add<DeliveryOutcome>(lists);
        Add<DeliveryReason>(lists);
        Add<WorkAction>(lists);
        Add<Hazard>(lists);
        Add<Level>(lists);
        Add<SaidState>(lists);
        Add<UnitSystem>(lists);
        Add<WeatherQuantity>(lists);
        Add<WeatherOrigin>(lists);
        string[] lines = File.ReadAllLines(Path.Combine(Repository.FolderOf(), "approved", "words-in-stores.approved.txt"));
        Assert.Equal(lists.Keys.Order(StringComparer.Ordinal), lines.Select(line => line.Split(": ")[0]).Order(StringComparer.Ordinal));
        foreach (string line in lines)
        {
            string[] parts = line.Split(": ");
            Assert.All(parts[1].Split(", "), word => Assert.Equal(word, lists[parts[0]](word)));
        }
    }

    // A step that was shipped never changes: its hash is in every store, and a store with another hash is refused.
    [Fact]
    public void Steps_that_were_shipped_stay_what_they_are()
    {
        var text = new StringBuilder();
        foreach (string engine in (string[])["Sqlite", "Postgres"])
        {
            foreach (Migration step in Migration.Shipped(engine))
            {
                text.Append(engine).Append(' ').Append(step.Number).Append(' ').Append(step.Name).Append(' ').Append(step.Hash).Append('\n');
            }
        }

        Approved.Text("steps-of-the-schema", text.ToString());
    }

    [Fact]
    public void An_unknown_word_is_named() =>
        Assert.Contains("'magic' is no Technique", Assert.Throws<FormatException>(() => Stored.Word<Technique>("magic")).Message, StringComparison.Ordinal);

    private static void Add<T>(Dictionary<string, Func<string, string>> lists)
        where T : struct, Enum => lists.Add(typeof(T).Name, word => Stored.Word(Stored.Word<T>(word)));
}
