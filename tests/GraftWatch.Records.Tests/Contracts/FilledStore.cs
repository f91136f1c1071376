using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Microclimate.Sites;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Records.Tests.Stores;
using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Urgent;
using NodaTime;

namespace GraftWatch.Records.Tests.Contracts;

/// <summary>Puts something of everything into a store.</summary>
internal static class FilledStore
{
    public static async Task FillAsync(RecordsStore store, CancellationToken stop, bool leaveOneWaiting = false)
    {
        DateTimeZone zone = DateTimeZoneProviders.Tzdb["Europe/Berlin"];
        await store.Book.SavePlaceAsync(new Place("Long Meadow", new Site { LatitudeDeg = 47.1, LongitudeDeg = 8.3, ElevationM = 430, HorizonDeg = [1, 2.5] }, zone) { Assumed = ["loam"] }, stop);
        await store.Book.SaveGrowerAsync(new Grower(Sample.Grower, "ada@example.org", zone, new LocalTime(6, 30), UnitSystem.Metric, ["Long Meadow"]) { Wishes = new UrgentWishes(2, new LocalTime(22, 30), new LocalTime(5, 15), FrostPasses: false), Calendar = false }, stop);
        await store.Book.SaveChannelsAsync(Sample.Grower, [new GrowerChannel("mail", "mail", "ada@example.org", true, true, new LocalTime(22, 0), new LocalTime(5, 30))], stop);
        await store.Keeper.ReplaceGraftsAsync(Sample.Grower, [Sample.Graft(), Sample.Graft("Ω „quer“") with { ShootM = null, Bbch = null, AspectDeg = 0.1 + 0.2 }], stop);
        long note = (await store.Keeper.ObserveAsync(Sample.Grower, new Observation("B3-07", Sample.Morning, ObservationKind.ShootLength, 0.123), "shoot 12.3 cm", Sample.Morning, stop))!.Value;
        await store.Keeper.ObserveAsync(Sample.Grower, new Observation("B3-07", Sample.Morning, ObservationKind.GreenTip), string.Empty, Sample.Morning, stop);
        await store.Keeper.UndoObservationAsync(Sample.Grower, note, Sample.Morning + Duration.FromHours(1), stop);
        await store.Said.SealAsync(Sample.Copies("mail", "own:phone"), [new SaidLine(WorkAction.Shade, Hazard.Heat, "B3-07", Level.Act, Sample.Day) { Advice = "shade-heat-01234567", Words = "Shade „it“.", Materials = ["foil sleeve"] }, new SaidLine(WorkAction.SlitTie, null, "B3-07", Level.Note, Sample.Day)], stop);
        await store.Ledger.RecordTryAsync(Sample.Slot(), new DeliveryResult(DeliveryOutcome.TryLater, DeliveryReason.ServerBusy, "451 „später“"), Sample.Morning, stop);
        await store.Ledger.RecordTryAsync(Sample.Slot(), DeliveryResult.Accepted("250 ok"), Sample.Morning + Duration.FromMinutes(1), stop);
        await store.Ledger.RecordTryAsync(Sample.Slot() with { Channel = "own:phone" }, DeliveryResult.Accepted("200 OK"), Sample.Morning, stop);
        long answer = await store.Said.AnswerAsync(Sample.Grower, new SaidAnswer(WorkAction.Shade, Hazard.Heat, ["B3-07", "B3-08"], SaidState.PutOff, Sample.Day.PlusDays(2), Sample.Morning + Duration.FromHours(1), Sample.Day), stop);
        await store.Said.UndoAnswerAsync(Sample.Grower, answer, Sample.Morning + Duration.FromHours(2), stop);
        await store.Said.AnswerAsync(Sample.Grower, new SaidAnswer(WorkAction.Shade, Hazard.Heat, ["B3-07"], SaidState.Done, null, Sample.Morning + Duration.FromHours(3)), stop);
        if (leaveOneWaiting)
        {
            await store.Ledger.SealAsync(Sample.Letter(Sample.Slot(kind: LetterKind.Urgent), 2, Sample.Morning + Duration.FromHours(4)), stop);
        }

        await store.People.SaveAsync(new Person("ada@example.org", "de", Sample.Morning, Sample.Morning + Duration.FromMinutes(3)), stop);
        await store.Feeds.RenewAsync(Sample.Grower, Sample.Morning, stop);
        await store.Stops.StopAsync("Bo Reed", StoppedBy.Operator, Sample.Morning, stop);
        var weather = new HourlyWeather.Builder(Instant.FromUtc(2027, 5, 10, 22, 0), 30);
        for (int i = 0; i < 30; i++)
        {
            weather.Set(WeatherQuantity.AirC, i, i == 4 ? double.NaN : Math.PI * i, i < 20 ? WeatherOrigin.Analysed : WeatherOrigin.Forecast);
        }

        await store.Weather.KeepAsync("Long Meadow", "open forecast", weather.Build(), Sample.Morning, stop);
        await store.History.SaveAsync("Long Meadow", new KeptWeather(weather.Build(), "open forecast", "credit „line“", Sample.Morning), stop);
        await store.Jobs.RecordAsync(new JobRun("morning", Sample.Morning, Sample.Morning, null, false, "died"), stop);
        await store.Tallies.SaveAsync(new RequestTally("weather.example", Sample.Morning, 1, 2.5, 3, null, string.Empty), stop);
    }
}
