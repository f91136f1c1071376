using GraftWatch.Records.Archive;
using GraftWatch.Records.Engine;
using GraftWatch.Records.Grafts;
using GraftWatch.Records.Growers;
using GraftWatch.Records.Housekeeping;
using GraftWatch.Records.Jobs;
using GraftWatch.Records.Ledger;
using GraftWatch.Records.People;
using GraftWatch.Records.Weather;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Records;

/// <summary>One store behind all ports; SQLite and PostgreSQL differ only in how they are opened.</summary>
public abstract class RecordsStore : IAsyncDisposable
{
    private protected RecordsStore(SqlEngine engine)
    {
        Engine = engine;
        var ledger = new LetterLedger(engine);
        var grafts = new GraftRecords(engine);
        Ledger = ledger;
        Said = ledger;
        Answers = new AnswerRecords(engine);
        Shelf = new LetterShelf(engine);
        Claims = new LetterClaims(engine);
        Register = grafts;
        Keeper = grafts;
        Jobs = new JobRecords(engine);
        Book = new GrowerRecords(engine);
        Stops = new GrowerStops(engine);
        Weather = new WeatherRecords(engine);
        History = new WeatherHistoryRecords(engine);
        Needs = new WeatherNeedsRecords(engine);
        Tallies = new RequestTallyRecords(engine);
        Replies = new ReplyRecords(engine);
        Archive = new StoreArchive(engine);
        House = new StoreHousekeeping(engine);
        Notes = new StoreNotes(engine);
        Figures = new LetterFigures(engine);
        People = new PeopleRecords(engine);
        SaidAdvice = new AdviceRecords(engine);
        PageMails = new PageMailRecords(engine);
        Feeds = new FeedRecords(engine);
    }

    /// <summary>Letters and their receipts.</summary>
    public ILedger Ledger { get; }

    /// <summary>Letters to look at.</summary>
    public ILetterShelf Shelf { get; }

    /// <summary>Shares waiting letters among workers.</summary>
    public ILetterClaims Claims { get; }

    /// <summary>What was said, and the answers.</summary>
    public ISaidMemory Said { get; }

    /// <summary>The answers themselves, to show and to take back.</summary>
    public IAnswerBook Answers { get; }

    /// <summary>Reads the register.</summary>
    public IRegister Register { get; }

    /// <summary>Changes the register.</summary>
    public IRegisterKeeper Keeper { get; }

    /// <summary>When jobs ran.</summary>
    public IJobRuns Jobs { get; }

    /// <summary>Growers, places and channels.</summary>
    public IGrowerBook Book { get; }

    /// <summary>Whose letters are stopped.</summary>
    public IGrowerStops Stops { get; }

    /// <summary>The hours that were ever known of a place.</summary>
    public IWeatherLog Weather { get; }

    /// <summary>The joined hours of each place, as the last run left them.</summary>
    public IWeatherHistory History { get; }

    /// <summary>How far back hours are needed for the grafts of the register.</summary>
    public IWeatherNeeds Needs { get; }

    /// <summary>Replies of services that want to be asked conditionally.</summary>
    public IReplyStore Replies { get; }

    /// <summary>How much each weather service was asked.</summary>
    public IRequestTallies Tallies { get; }

    /// <summary>Everything as one JSON file.</summary>
    public StoreArchive Archive { get; }

    /// <summary>Drops what nobody needs any more.</summary>
    public StoreHousekeeping House { get; }

    /// <summary>The installation's own secret and other single values.</summary>
    public StoreNotes Notes { get; }

    /// <summary>What the links of letters are about.</summary>
    public ISaidAdvice SaidAdvice { get; }

    /// <summary>Counts, for who watches over the installation.</summary>
    public LetterFigures Figures { get; }

    /// <summary>People who use the pages.</summary>
    public IPeople People { get; }

    /// <summary>Mails of the pages that wait for the mail server.</summary>
    public IPageMails PageMails { get; }

    /// <summary>Calendar addresses of growers.</summary>
    public IFeeds Feeds { get; }

    internal SqlEngine Engine { get; }

    public async ValueTask DisposeAsync()
    {
        await Engine.DisposeAsync().ConfigureAwait(false);
        GC.SuppressFinalize(this);
    }
}
