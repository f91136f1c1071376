using System.Security.Cryptography;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Thresholds;
using GraftWatch.Microclimate.Sites;
using GraftWatch.Microclimate.Weather;
using GraftWatch.Records.Engine;
using GraftWatch.Records.Grafts;
using GraftWatch.Records.Growers;
using GraftWatch.Records.Ledger;
using GraftWatch.Records.Weather;
using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Urgent;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Records.Archive;

/// <summary>Fills an empty store from an archive, all or nothing.</summary>
internal sealed class ArchiveImport(SqlSession session, LocalDate? firstLetterDate, Instant now)
{
    public async Task<ArchiveCounts> RunAsync(ArchiveDocument archive)
    {
        await RefuseFilledAsync().ConfigureAwait(false);
        await LetterLedger.ForgetBeforeAsync(session, ArchiveText.DateOrNull(archive.LettersForgottenBefore)).ConfigureAwait(false);
        foreach (ArchivePlace place in archive.Places)
        {
            await GrowerRecords.SavePlaceAsync(session, Map(place)).ConfigureAwait(false);
        }

        foreach (ArchiveGrower grower in archive.Growers)
        {
            await GrowerAsync(grower).ConfigureAwait(false);
        }

        if (firstLetterDate is { } first)
        {
            await LetterLedger.ForgetTodayAsync(session, first, now).ConfigureAwait(false);
        }

        await ArchivePeople.SaveAsync(session, archive.People ?? []).ConfigureAwait(false);
        await session.ExecuteManyAsync(
            "INSERT INTO weather_series (place, source, credit, issued_at, first_hour_end, last_hour_end) VALUES (@place, @source, @credit, @issued, @first, @last)",
            archive.Series,
            series => [("@place", series.Place), ("@source", series.Source), ("@credit", series.Credit), ("@issued", ArchiveText.Ticks(series.IssuedAt)), ("@first", ArchiveText.Ticks(series.FirstHourEnd)), ("@last", ArchiveText.Ticks(series.LastHourEnd))]).ConfigureAwait(false);
        foreach (ArchiveWeatherDay day in archive.Weather)
        {
            await WeatherRecords.SaveAsync(session, day.Place, day.Source, LocalDatePattern.Iso.Parse(ArchiveText.Date(day.Day)).Value, Map(day), ArchiveText.Ticks(day.SavedAt)).ConfigureAwait(false);
        }

        await session.ExecuteManyAsync(
            "INSERT INTO job_run (job, due_at, started_at, ended_at, good, detail) VALUES (@job, @due, @started, @ended, @good, @detail)",
            archive.Jobs,
            run => [("@job", run.Job), ("@due", ArchiveText.Ticks(run.DueAt)), ("@started", ArchiveText.Ticks(run.StartedAt)), ("@ended", ArchiveText.TicksOrNull(run.EndedAt)), ("@good", run.Good), ("@detail", run.Detail)]).ConfigureAwait(false);
        await session.ExecuteManyAsync(
            "INSERT INTO request_tally (host, counted_at, minute_used, hour_used, day_used, not_before, why) VALUES (@host, @at, @minute, @hour, @day, @not_before, @why)",
            archive.Tallies,
            tally => [("@host", tally.Host), ("@at", ArchiveText.Ticks(tally.CountedAt)), ("@minute", tally.MinuteUsed), ("@hour", tally.HourUsed), ("@day", tally.DayUsed), ("@not_before", ArchiveText.TicksOrNull(tally.NotBefore)), ("@why", tally.Why)]).ConfigureAwait(false);
        return new ArchiveCounts(archive.Growers.Length, archive.Growers.Sum(g => g.Grafts.Length), archive.Growers.Sum(g => g.Letters.Length), archive.Weather.Length);
    }

    private async Task RefuseFilledAsync()
    {
        foreach (string table in (string[])["grower", "place", "person", "weather_day", "weather_series"])
        {
            if (await session.NumberAsync($"SELECT count(*) FROM {table}").ConfigureAwait(false) > 0)
            {
                throw new ArchiveRefusedException("The store is not empty. An archive is imported into a new store only, so that nothing is mixed or lost.");
            }
        }
    }

    private async Task GrowerAsync(ArchiveGrower grower)
    {
        long id = await GrowerRows.TakeAsync(session, grower.Name).ConfigureAwait(false);
        await session.ExecuteAsync("UPDATE grower SET last_number = @number WHERE id = @id", ("@number", grower.LastNumber), ("@id", id)).ConfigureAwait(false);
        if (grower.Detail is { } detail)
        {
            var full = new Grower(grower.Name, detail.Address, ZoneOf(detail.Zone), Time(detail.LetterTime)!.Value, Stored.Word<UnitSystem>(detail.Units), detail.Places);
            if (detail.Wishes is { } wishes)
            {
                full = full with { Wishes = new UrgentWishes(wishes.UrgentADay, Time(wishes.HoldFrom), Time(wishes.HoldUntil), wishes.FrostPasses), Picture = wishes.Picture, Calendar = wishes.Calendar };
            }

            await GrowerRecords.SaveGrowerAsync(session, full).ConfigureAwait(false);
        }

        await GrowerRecords.SaveChannelsAsync(session, grower.Name, [.. grower.Channels.Select(c => new GrowerChannel(c.Name, c.Kind, c.Target, c.Morning, c.Urgent, Time(c.HeldFrom), Time(c.HeldTo)))]).ConfigureAwait(false);
        await GraftRows.SaveAsync(session, id, [.. grower.Grafts.Select(Map)]).ConfigureAwait(false);
        await session.ExecuteManyAsync(
            "INSERT INTO observation (grower_id, label, at, kind, amount, words, noted_at, undone_at) VALUES (@grower, @label, @at, @kind, @amount, @words, @noted, @undone)",
            grower.Notes,
            note => [("@grower", id), ("@label", note.Label), ("@at", ArchiveText.Ticks(note.At)), ("@kind", ArchiveText.Word<ObservationKind>(note.Kind)), ("@amount", note.Value), ("@words", note.Words), ("@noted", ArchiveText.Ticks(note.NotedAt)), ("@undone", ArchiveText.TicksOrNull(note.UndoneAt))]).ConfigureAwait(false);
        await session.ExecuteManyAsync(
            "INSERT INTO said (grower_id, action, hazard, label, first_said, last_said, said_at, level) VALUES (@grower, @action, @hazard, @label, @first, @last, @at, @level)",
            grower.Said,
            said => [("@grower", id), ("@action", ArchiveText.Word<WorkAction>(said.Action)), ("@hazard", ArchiveText.WordOrEmpty<Hazard>(said.Hazard)), ("@label", said.Label), ("@first", ArchiveText.Date(said.FirstSaid)), ("@last", ArchiveText.Date(said.LastSaid)), ("@at", ArchiveText.Ticks(said.SaidAt)), ("@level", ArchiveText.Word<Level>(said.Level))]).ConfigureAwait(false);
        foreach (ArchiveAnswer answer in grower.Answers)
        {
            await AnswerAsync(id, answer).ConfigureAwait(false);
        }

        foreach (ArchiveLetter letter in grower.Letters)
        {
            await LetterAsync(id, letter).ConfigureAwait(false);
        }

        await ArchivePeople.SaveAsync(session, id, grower).ConfigureAwait(false);
        if (grower.Stop is { } stop)
        {
            await session.ExecuteAsync(
                "INSERT INTO grower_stop (grower_id, stopped_at, stopped_by) VALUES (@id, @at, @by)",
                ("@id", id),
                ("@at", ArchiveText.Ticks(stop.At)),
                ("@by", ArchiveText.Word<StoppedBy>(stop.By))).ConfigureAwait(false);
        }
    }

    private async Task AnswerAsync(long grower, ArchiveAnswer answer)
    {
        long? id = await session.NumberAsync(
            "INSERT INTO answer (grower_id, action, hazard, state, until, at, answered_on, undone_at) VALUES (@grower, @action, @hazard, @state, @until, @at, @on, @undone) RETURNING id",
            ("@grower", grower),
            ("@action", ArchiveText.Word<WorkAction>(answer.Action)),
            ("@hazard", ArchiveText.WordOrEmpty<Hazard>(answer.Hazard)),
            ("@state", ArchiveText.Word<SaidState>(answer.State)),
            ("@until", ArchiveText.DateOrNull(answer.Until)),
            ("@at", ArchiveText.Ticks(answer.At)),
            ("@on", ArchiveText.DateOrNull(answer.On)),
            ("@undone", ArchiveText.TicksOrNull(answer.UndoneAt))).ConfigureAwait(false);
        await session.ExecuteManyAsync("INSERT INTO answer_graft (answer_id, label) VALUES (@answer, @label)", answer.Labels, label => [("@answer", id), ("@label", label)]).ConfigureAwait(false);
    }

    private async Task LetterAsync(long grower, ArchiveLetter letter)
    {
        if (letter.LetGo is not null && (letter.Bytes.Length > 0 || letter.State == Stored.Word(LetterState.Waiting)))
        {
            throw new FormatException($"letter {letter.Number} of {letter.Date} still waits or has its bytes, and says that they were let go");
        }

        long? id = await session.NumberAsync(
            """
            INSERT INTO letter (grower_id, local_date, kind, ordinal, channel, number, message_id, recipient, subject, bytes, bytes_hash, bytes_let_go, sealed_at, useful_until, state, tries, last_try_at, last_detail, next_try_at)
            VALUES (@grower, @date, @kind, @ordinal, @channel, @number, @message, @recipient, @subject, @bytes, @hash, @gone, @sealed, @useful, @state, @tries, @last, @detail, @next) RETURNING id
            """,
            ("@grower", grower),
            ("@date", ArchiveText.Date(letter.Date)),
            ("@kind", ArchiveText.Word<LetterKind>(letter.Kind)),
            ("@ordinal", letter.Ordinal),
            ("@channel", letter.Channel),
            ("@number", letter.Number),
            ("@message", letter.MessageId),
            ("@recipient", letter.Recipient),
            ("@subject", letter.Subject),
            ("@bytes", letter.Bytes),
            ("@hash", letter.LetGo?.Sha256 ?? SHA256.HashData(letter.Bytes)),
            ("@gone", letter.LetGo?.Size),
            ("@sealed", ArchiveText.Ticks(letter.SealedAt)),
            ("@useful", ArchiveText.TicksOrNull(letter.UsefulUntil)),
            ("@state", ArchiveText.Word<LetterState>(letter.State)),
            ("@tries", letter.Tries.Length),
            ("@last", ArchiveText.TicksOrNull(letter.LastTryAt)),
            ("@detail", letter.LastDetail),
            ("@next", ArchiveText.TicksOrNull(letter.NextTryAt))).ConfigureAwait(false);
        await session.ExecuteManyAsync(
            "INSERT INTO letter_try (letter_id, number, at, outcome, reason, detail) VALUES (@letter, @number, @at, @outcome, @reason, @detail)",
            [.. letter.Tries.Index()],
            one => [("@letter", id), ("@number", one.Index + 1), ("@at", ArchiveText.Ticks(one.Item.At)), ("@outcome", ArchiveText.Word<DeliveryOutcome>(one.Item.Outcome)), ("@reason", ArchiveText.Word<DeliveryReason>(one.Item.Reason)), ("@detail", one.Item.Detail)]).ConfigureAwait(false);
        if (firstLetterDate is not null && letter.State == Stored.Word(LetterState.Waiting))
        {
            await LetterLedger.RecordTryAsync(session, id!.Value, LetterState.Waiting, letter.Tries.Length, NotSent.BecauseRestored, now).ConfigureAwait(false);
        }
    }

    private static DayColumns Map(ArchiveWeatherDay day)
    {
        var columns = new DayColumns();
        foreach (ArchiveColumn column in day.Columns)
        {
            if (column.Values.Length != DayColumns.Hours || column.Origins.Length != DayColumns.Hours)
            {
                throw new FormatException($"The weather of {day.Place} on {day.Day} has {column.Values.Length} hours of {column.Quantity}, not {DayColumns.Hours}.");
            }

            WeatherQuantity quantity = Stored.Word<WeatherQuantity>(column.Quantity);
            for (int hour = 0; hour < DayColumns.Hours; hour++)
            {
                columns.Offer(quantity, hour, column.Values[hour] ?? double.NaN, Stored.Word<WeatherOrigin>(column.Origins[hour]));
            }
        }

        return columns;
    }

    private static Place Map(ArchivePlace place)
    {
        var site = new Site
        {
            LatitudeDeg = place.LatitudeDeg,
            LongitudeDeg = place.LongitudeDeg,
            ElevationM = place.ElevationM,
            GroundAlbedoFrac = place.GroundAlbedoFrac,
            RoughnessM = place.RoughnessM,
            ShelterWindFrac = place.ShelterWindFrac,
            FrostOffsetK = place.FrostOffsetK,
            HorizonDeg = place.HorizonDeg,
            AvailableSoilWaterMm = place.AvailableSoilWaterMm,
        };
        return new Place(place.Name, site, ZoneOf(place.Zone)) { Assumed = place.Assumed };
    }

    private static Graft Map(ArchiveGraft graft) => new()
    {
        Label = graft.Label,
        Place = graft.Place,
        Block = graft.Block,
        Row = graft.Row,
        Tree = graft.Tree,
        Species = graft.Species,
        Scion = graft.Scion,
        Stock = graft.Stock,
        Technique = Stored.Word<Technique>(graft.Technique),
        Made = LocalDatePattern.Iso.Parse(ArchiveText.Date(graft.Made)).Value,
        Count = graft.Count,
        AspectDeg = graft.AspectDeg,
        TiltDeg = graft.TiltDeg,
        HeightM = graft.HeightM,
        DiameterM = graft.DiameterM,
        Cover = graft.Cover,
        CoverVented = graft.CoverVented,
        Tie = graft.Tie,
        Seal = graft.Seal,
        ShootM = graft.ShootM,
        Bbch = graft.Bbch,
        NurseBuds = graft.NurseBuds,
        Support = Stored.Word<ShootSupport>(graft.Support),
        Notes = graft.Notes,
        Assumed = graft.Assumed,
    };

    private static DateTimeZone ZoneOf(string id) => DateTimeZoneProviders.Tzdb.GetZoneOrNull(id) ?? throw new FormatException($"'{id}' is no time zone this program knows.");

    private static LocalTime? Time(string? text) => text is null ? null
        : LocalTimePattern.ExtendedIso.Parse(text) is { Success: true } read ? read.Value
        : throw new FormatException($"'{text}' is not a time of day such as 06:30:00.");
}
