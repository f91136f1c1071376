using System.Text;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Records.Tests.Stores;

/// <summary>Invented values for tests.</summary>
internal static class Sample
{
    public const string Grower = "Ada Quill";

    public static readonly Instant Morning = Instant.FromUtc(2027, 5, 14, 4, 30);

    public static readonly LocalDate Day = new(2027, 5, 14);

    public static LetterSlot Slot(string grower = Grower, LocalDate? date = null, LetterKind kind = LetterKind.Morning) => new(grower, date ?? Day, kind);

    public static SealedLetter Letter(LetterSlot? slot = null, int number = 1, Instant? sealedAt = null, int bodyBytes = 40)
    {
        LetterSlot at = slot ?? Slot();
        string text = $"Subject: No. {number}\r\n\r\nShade 7 unions. {at.Grower} {at.Date}\r\n" + new string('.', bodyBytes);
        return new SealedLetter(at, number, $"{at.Grower.Replace(' ', '-')}.{at.Date:yyyyMMdd}.{at.Kind}.{number}@letters.example", "ada@example.org", $"No. {number} · shade 7 unions – 11:00", Encoding.UTF8.GetBytes(text), sealedAt ?? Morning);
    }

    /// <summary>Copies of one letter, one a channel.</summary>
    public static SealedLetter[] Copies(params string[] channels) => Copies(1, channels);

    public static SealedLetter[] Copies(int number, params string[] channels) =>
    [
        .. channels.Select(channel =>
        {
            SealedLetter letter = Letter(Slot() with { Channel = channel }, number, bodyBytes: channel.Length);
            return letter with { MessageId = channel + "." + letter.MessageId, UsefulUntil = channel.StartsWith("own", StringComparison.Ordinal) ? Morning + Duration.FromHours(6) : null };
        }),
    ];

    public static Graft Graft(string label = "B3-07", string block = "B", string row = "3", string tree = "7") => new()
    {
        Label = label,
        Place = "Long Meadow",
        Block = block,
        Row = row,
        Tree = tree,
        Species = "apple",
        Scion = "Kestrel Russet",
        Stock = "dwarf 9",
        Technique = Technique.WhipAndTongue,
        Made = new LocalDate(2027, 4, 2),
        Count = 3,
        AspectDeg = 202.5,
        TiltDeg = 12.25,
        HeightM = 0.35,
        DiameterM = 0.0123456789012345,
        Cover = "foil",
        CoverVented = true,
        Tie = "raffia",
        Seal = "wax",
        ShootM = 0.12,
        Bbch = 9,
        NurseBuds = 2,
        Support = ShootSupport.Tied,
        Notes = "“north side” – über\nsecond line",
        Assumed = ["The tilt was left empty: 0° is taken.", "x"],
    };
}
