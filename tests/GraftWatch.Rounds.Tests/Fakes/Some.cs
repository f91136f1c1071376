using GraftWatch.Aftercare.Advising;
using GraftWatch.Rounds.Ports;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Rounds.Tests.Fakes;

internal static class Some
{
    internal static DateTimeZone Zone(string id) => DateTimeZoneProviders.Tzdb[id];

    internal static Grower Grower(string zone = "Europe/Berlin", string letterTime = "05:30") => new(
        "Ilse", "ilse@nursery.example", Zone(zone), LocalTimePattern.CreateWithInvariantCulture("HH:mm").Parse(letterTime).Value, UnitSystem.Metric, ["home"]);

    internal static Instant At(string utc) => InstantPattern.General.Parse(utc).GetValueOrThrow();

    internal static LocalDate Date(string iso) => LocalDatePattern.Iso.Parse(iso).GetValueOrThrow();

    internal static SealedLetter Letter(Grower grower, LocalDate date, Instant at, int number = 1) => new(
        new LetterSlot(grower.Name, date, LetterKind.Morning), number, $"{number}@nursery.example", grower.Address, "Work", "Subject: Work\r\n\r\nWork\r\n"u8.ToArray(), at);
}
