using System.Text;
using CsCheck;
using GraftWatch.Forecasts.OpenForecast;
using GraftWatch.Testing;

namespace GraftWatch.Forecasts.Tests.OpenForecast;

public sealed class SavedReplyFaultTests
{
    private const string C = "\"temperature_2m\":\"°C\"";
    private const string Half = """{"latitude":50.0,"hourly_units":{"temperature_2m":"°C"},"hourly":{"time":[1776823200,1776826800],"temperature_2m":[1.4,""";

    /// <summary>What can be wrong with a reply; the approved text holds the sentence for each.</summary>
    private static readonly (string What, string Reply)[] Faulty =
    [
        ("empty", ""),
        ("blank", " \n\t "),
        ("HTML page", "<html><head><title>502 Bad Gateway</title></head><body></body></html>"),
        ("refusal", """{"error":true,"reason":"Latitude must be in range of -90 to 90°. Given: 522.52."}"""),
        ("refusal, other order", """{"reason":"Invalid timezone","error":true}"""),
        ("truncated in a column", Half),
        ("truncated in a number list after a null", Half + "null"),
        ("streaming broke", Half + "1.2,Unexpected error while streaming data: connection reset"),
        ("text behind the JSON", SavedReplyTests.Reply(C, "\"temperature_2m\":[1,2]") + " and more"),
        ("null", "null"),
        ("empty list", "[]"),
        ("empty object", "{}"),
        ("list of numbers", "[1,2,3]"),
        ("plain text", "Not Found"),
        ("gzip", "\u001f\u008b"),
        ("no hourly block", """{"latitude":50.0,"longitude":10.0,"daily":{"time":["2026-04-22"]}}"""),
        ("hourly is a list", """{"hourly":[1,2]}"""),
        ("no time", """{"hourly":{"temperature_2m":[1,2]}}"""),
        ("time is null", """{"hourly":{"time":null,"temperature_2m":[1,2]}}"""),
        ("no hours", SavedReplyTests.Reply(C, "\"temperature_2m\":[]", time: "")),
        ("unequal lengths", SavedReplyTests.Reply(C, "\"temperature_2m\":[1,2,3]")),
        ("out of order", SavedReplyTests.Reply(C, "\"temperature_2m\":[1,2]", time: "1776826800,1776823200")),
        ("twice the same hour", SavedReplyTests.Reply(C, "\"temperature_2m\":[1,1]", time: "1776823200,1776823200")),
        ("half-hour stamps", SavedReplyTests.Reply(C, "\"temperature_2m\":[1,2]", time: "1776825000,1776828600")),
        ("a jump of a century", SavedReplyTests.Reply(C, "\"temperature_2m\":[1,2]", time: "1776823200,5000000400")),
        ("milliseconds", SavedReplyTests.Reply(C, "\"temperature_2m\":[1,2]", time: "1776823200000,1776826800000")),
        ("null stamp", SavedReplyTests.Reply(C, "\"temperature_2m\":[1,2]", time: "1776823200,null")),
        ("dates as stamps", SavedReplyTests.Reply(C, "\"temperature_2m\":[1,2]", time: "\"2026-04-22\",\"2026-04-23\"")),
        ("a day that does not exist", SavedReplyTests.Reply(C, "\"temperature_2m\":[1,2]", time: "\"2026-02-29T00:00\",\"2026-02-29T01:00\"")),
        ("all null", SavedReplyTests.Reply(C, "\"temperature_2m\":[null,null]")),
        ("text NaN", SavedReplyTests.Reply(C, "\"temperature_2m\":[1,\"NaN\"]")),
        ("bare NaN", SavedReplyTests.Reply(C, "\"temperature_2m\":[1,NaN]")),
        ("decimal comma in quotes", SavedReplyTests.Reply(C, "\"temperature_2m\":[\"1,5\",\"2,5\"]")),
        ("true", SavedReplyTests.Reply(C, "\"temperature_2m\":[1,true]")),
        ("nested list", SavedReplyTests.Reply(C, "\"temperature_2m\":[[1],[2]]")),
        ("column is a number", SavedReplyTests.Reply(C, "\"temperature_2m\":7")),
        ("column twice", SavedReplyTests.Reply(C, "\"temperature_2m\":[1,2],\"temperature_2m\":[1,2]")),
        ("several models", SavedReplyTests.Reply("\"temperature_2m_icon_seamless\":\"°C\"", "\"temperature_2m_icon_seamless\":[1,2],\"temperature_2m_gfs_seamless\":[1,2]")),
        ("only unknown columns", SavedReplyTests.Reply("\"visibility\":\"m\"", "\"visibility\":[1,2]")),
        ("not on Earth", SavedReplyTests.Reply(C, "\"temperature_2m\":[1,2]").Replace("50.0", "522.5", StringComparison.Ordinal)),
        ("leading zero", SavedReplyTests.Reply(C, "\"temperature_2m\":[01,2]")),
        ("deep nesting", new string('[', 10_000)),
    ];

    [Fact]
    public void Every_fault_gets_a_sentence_that_says_which_and_what_to_do()
    {
        var text = new StringBuilder();
        foreach ((string what, string reply) in Faulty)
        {
            byte[] bytes = what == "gzip" ? [0x1F, 0x8B, 8] : Encoding.UTF8.GetBytes(reply);
            SavedReplyResult result = SavedReply.Parse(bytes, "frost.json", null);
            Assert.False(result.IsUsable, what);
            Assert.All(result.Locations, l => Assert.Null(l.Weather));
            text.Append(what).Append(":\n").AppendJoin('\n', result.Faults.Select(f => "  " + f)).Append('\n');
        }

        Approved.Text("faults", text.ToString());
    }

    [Fact]
    public void Text_that_is_not_UTF_8_is_refused()
    {
        byte[] bytes = Encoding.Latin1.GetBytes("""{"timezone":"Réunion","hourly":{}}""");
        Assert.Contains("UTF-8", Assert.Single(SavedReply.Parse(bytes, "frost.json", null).Faults), StringComparison.Ordinal);
    }

    [Fact]
    public void A_reply_that_is_too_long_is_refused_before_it_is_read()
    {
        var reading = new ReplyReading { Name = "frost.json", MostBytes = 100 };
        Assert.Contains("more than the 100", SavedReply.Parse(new byte[101].Select(_ => (byte)'{').ToArray(), reading).Faults[0], StringComparison.Ordinal);
    }

    [Fact]
    public void Cutting_a_reply_anywhere_never_throws_and_never_leaves_half_a_reply()
    {
        foreach (string name in Sample.OpenForecast)
        {
            byte[] whole = Encoding.UTF8.GetBytes(Sample.Text(name).TrimEnd());
            for (int length = 0; length < whole.Length; length++)
            {
                SavedReplyResult result = SavedReply.Parse(whole.AsMemory(0, length), name, null);
                Assert.NotEmpty(result.Faults);
                Assert.Empty(result.Locations);
            }
        }
    }

    [Fact]
    public void Changing_bytes_never_throws()
    {
        byte[] whole = Sample.Bytes("open-nulls-and-undefined.json");
        Gen.Select(Gen.Int[0, whole.Length - 1], Gen.Byte).Array[1, 8].Sample(
            changes =>
            {
                byte[] bytes = [.. whole];
                foreach ((int at, byte value) in changes)
                {
                    bytes[at] = value;
                }

                SavedReplyResult result = SavedReply.Parse(bytes, "frost.json", null);
                return result.Faults.Count > 0 || result.Locations.Count > 0;
            },
            iter: 20_000);
    }

    [Fact]
    public void Any_bytes_at_all_never_throw()
    {
        Gen.Byte.Array[0, 200].Sample(bytes => SavedReply.Parse(bytes, "frost.json", null).Faults.Count > 0, iter: 20_000);
    }
}
