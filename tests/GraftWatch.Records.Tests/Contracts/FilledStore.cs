using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Microclimate.Sites;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Records.Tests.Stores;
using GraftWatch.Rounds.Ports;
using NodaTime;

namespace GraftWatch.Records.Tests.Contracts;

/// <summary>Puts something of everything into a store.</summary>
internal static class FilledStore
{
    public static async Task FillAsync(RecordsStore store, CancellationToken stop, bool leaveOneWaiting = false)
    {
        DateTimeZone zone = DateTimeZoneProviders.Tzdb["Europe/Berlin"];
        await store.Book.SavePlaceAsync(new Place("Long Meadow", new Site { LatitudeDeg = 47.1, LongitudeDeg = 8.3, ElevationM = 430, HorizonDeg = [1, 2.5] }, zone) { Assumed = ["loam"] }, stop);
        await store.Book.SaveGrowerAsync(new Grower(Some.Grower, "ada@example.org", zone, new LocalTime(6, 30), UnitSystem.Metric, ["Long Meadow"]), stop);
        await store.Book.SaveChannelsAsync(Some.Grower, [new GrowerChannel("mail", "mail", "ada@example.org", true, true, new LocalTime(22, 0), new LocalTime(5, 30))], stop);
        await store.Keeper.ReplaceGraftsAsync(Some.Grower, [Some.Graft(), Some.Graft("Ω „quer“") with { ShootM = null, Bbch = null, AspectDeg = 0.1 + 0.2 }], stop);
        long note = (await store.Keeper.ObserveAsync(Some.Grower, new Observation("B3-07", Some.Morning, ObservationKind.ShootLength, 0.123), "shoot 12.3 cm", Some.Morning, stop))!.Value;
        await store.Keeper.ObserveAsync(Some.Grower, new Observation("B3-07", Some.Morning, ObservationKind.GreenTip), string.Empty, Some.Morning, stop);
        await store.Keeper.UndoObservationAsync(Some.Grower, note, Some.Morning + Duration.FromHours(1), stop);
        await store.Said.SealAsync(Some.Letter(), [new SaidLine(WorkAction.Shade, Hazard.Heat, "B3-07", Level.Act, Some.Day), new SaidLine(WorkAction.SlitTie, null, "B3-07", Level.Note, Some.Day)], stop);
        await store.Ledger.RecordTryAsync(Some.Slot(), new DeliveryResult(DeliveryOutcome.TryLater, DeliveryReason.ServerBusy, "451 „später“"), Some.Morning, stop);
        await store.Ledger.RecordTryAsync(Some.Slot(), DeliveryResult.Accepted("250 ok"), Some.Morning + Duration.FromMinutes(1), stop);
        long answer = await store.Said.AnswerAsync(Some.Grower, new SaidAnswer(WorkAction.Shade, Hazard.Heat, ["B3-07", "B3-08"], SaidState.PutOff, Some.Day.PlusDays(2), Some.Morning + Duration.FromHours(1), Some.Day), stop);
        await store.Said.UndoAnswerAsync(Some.Grower, answer, Some.Morning + Duration.FromHours(2), stop);
        await store.Said.AnswerAsync(Some.Grower, new SaidAnswer(WorkAction.Shade, Hazard.Heat, ["B3-07"], SaidState.Done, null, Some.Morning + Duration.FromHours(3)), stop);
        if (leaveOneWaiting)
        {
            await store.Ledger.SealAsync(Some.Letter(Some.Slot(kind: LetterKind.Urgent), 2, Some.Morning + Duration.FromHours(4)), stop);
        }

        var weather = new HourlyWeather.Builder(Instant.FromUtc(2027, 5, 10, 22, 0), 30);
        for (int i = 0; i < 30; i++)
        {
            weather.Set(WeatherQuantity.AirC, i, i == 4 ? double.NaN : Math.PI * i, i < 20 ? WeatherOrigin.Analysed : WeatherOrigin.Forecast);
        }

        await store.Weather.KeepAsync("Long Meadow", "open forecast", weather.Build(), Some.Morning, stop);
        await store.Jobs.RecordAsync(new JobRun("morning", Some.Morning, Some.Morning, null, false, "died"), stop);
        await store.Tallies.SaveAsync(new RequestTally("weather.example", Some.Morning, 1, 2.5, 3, null, string.Empty), stop);
    }
}
