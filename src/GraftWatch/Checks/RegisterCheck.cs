using System.Globalization;
using System.Runtime.CompilerServices;
using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Inputs;
using GraftWatch.Records;
using GraftWatch.Records.Inspection;
using GraftWatch.Rounds.Ports;
using GraftWatch.Rounds.Schedules;
using GraftWatch.Serving;
using GraftWatch.Settings.Installation;
using NodaTime;

namespace GraftWatch.Checks;

/// <summary>Every grower's register, and when the next letter goes.</summary>
internal sealed class RegisterCheck : ICheck
{
    public string Subject => "register";

    public async IAsyncEnumerable<CheckLine> RunAsync(CheckScope scope, [EnumeratorCancellation] CancellationToken cancellationToken)
    {
        if (scope.Terminal.Now() < ClockCheck.Made)
        {
            yield return new CheckLine(Subject, CheckVerdict.Failed, "Not checked, because the clock is wrong: by it every graft was made in the future.", "Set the clock.");
            yield break;
        }

        RecordsStore? store = await OpenAsync(scope, cancellationToken).ConfigureAwait(false);
        try
        {
            var register = new RegisterOfInstallation(store?.Register ?? new NoRegister(), () => scope.Settings, scope.Terminal.Clock);
            foreach (GrowerSettings grower in scope.Installation.Growers)
            {
                await foreach (CheckLine line in OfAsync(scope, register, grower, cancellationToken).ConfigureAwait(false))
                {
                    yield return line;
                }
            }

            IReadOnlyList<Grower> kept = store is null ? [] : await store.Book.LoadGrowersAsync(cancellationToken).ConfigureAwait(false);
            if (OfBook(scope, kept) is { } book)
            {
                yield return book;
            }
        }
        finally
        {
            if (store is not null)
            {
                await store.DisposeAsync().ConfigureAwait(false);
            }
        }
    }

    // One line for all: a region has thousands.
    private CheckLine? OfBook(CheckScope scope, IReadOnlyList<Grower> kept)
    {
        Grower[] others = [.. kept.Where(grower => !scope.Installation.Growers.Any(own => string.Equals(own.Name, grower.Name, StringComparison.OrdinalIgnoreCase)))];
        if (others.Length > 0)
        {
            Grower first = others.MinBy(grower => LetterSchedule.NextDue(grower, scope.Terminal.Now()).At)!;
            return new CheckLine(Subject, CheckVerdict.Fine, $"{others.Length} {(others.Length == 1 ? "grower" : "growers")} of the pages; {Next(scope, first)}.");
        }

        return scope.Installation.Growers.Count > 0 ? null
            : new CheckLine(Subject, CheckVerdict.Look, "No growers yet: nobody gets letters.", "Name one in a [[grower]] table, or let one subscribe on the pages.");
    }

    private async IAsyncEnumerable<CheckLine> OfAsync(CheckScope scope, RegisterOfInstallation register, GrowerSettings grower, [EnumeratorCancellation] CancellationToken cancellationToken)
    {
        IReadOnlyList<Graft> grafts = [];
        IReadOnlyList<string> faults = [];
        try
        {
            grafts = await register.LoadGraftsAsync(grower.Name, cancellationToken).ConfigureAwait(false);
        }
        catch (RegisterRefusedException refused)
        {
            faults = refused.Faults;
        }

        foreach (string fault in faults)
        {
            yield return new CheckLine(Subject, CheckVerdict.Wrong, InstallationCheck.OneLine(fault), fault.EndsWith("There is no such file.", StringComparison.Ordinal) ? $"Write it there, or correct register in the table of {grower.Name}; docs/register.md tells the columns." : string.Empty);
        }

        if (faults.Count > 0)
        {
            yield break;
        }

        string next = Next(scope, ServeSettings.GrowerOf(grower));
        yield return grafts.Count > 0
            ? new CheckLine(Subject, CheckVerdict.Fine, $"{grower.Name}: {grafts.Count} grafts, {grafts.Sum(graft => graft.Count)} unions; {next}.")
            : new CheckLine(Subject, CheckVerdict.Look, $"{grower.Name}: no grafts yet; {next}.", "Bring grafts in with graftwatch import, or name a CSV file in register.");
    }

    // The store is opened only where that changes nothing: it is there and of this program's schema.
    private static async Task<RecordsStore?> OpenAsync(CheckScope scope, CancellationToken cancellationToken)
    {
        (StoreFindings? found, _) = await StoreCheck.LookAsync(scope, scope.Installation, cancellationToken).ConfigureAwait(false);
        if (found is not { IsCurrent: true })
        {
            return null;
        }

        try
        {
            return scope.Installation.Store.Kind == StoreKind.Sqlite
                ? await SqliteStore.OpenAsync(
                    ServeSettings.StorePath(scope.Installation),
                    new SqliteStoreOptions { Clock = scope.Terminal.Clock, CheckForDamage = false, ReserveBytes = 0 },
                    cancellationToken).ConfigureAwait(false)
                : await PostgresStore.OpenAsync(StoreServer.Address(scope.Installation.Store, scope.Surroundings.Environment, out _)!, scope.Terminal.Clock, cancellationToken).ConfigureAwait(false);
        }
        catch (StoreRefusedException)
        {
            return null; // The check of the store says why.
        }
    }

    private static string Next(CheckScope scope, Grower grower)
    {
        Instant now = scope.Terminal.Now();
        DueLetter next = LetterSchedule.NextDue(grower, now);
        Duration left = next.At - now;
        return string.Create(CultureInfo.InvariantCulture, $"next letter {next.Date:R} {grower.LetterTime:HH:mm} {grower.Zone.Id}, in {(int)left.TotalHours} h {left.Minutes} min");
    }

    private sealed class NoRegister : IRegister
    {
        public Task<IReadOnlyList<Graft>> LoadGraftsAsync(string grower, CancellationToken cancellationToken) => Task.FromResult<IReadOnlyList<Graft>>([]);

        public Task<IReadOnlyList<Observation>> LoadObservationsAsync(string grower, CancellationToken cancellationToken) => Task.FromResult<IReadOnlyList<Observation>>([]);

        public Task<IReadOnlyList<SaidBefore>> LoadSaidAsync(string grower, CancellationToken cancellationToken) => Task.FromResult<IReadOnlyList<SaidBefore>>([]);
    }
}
