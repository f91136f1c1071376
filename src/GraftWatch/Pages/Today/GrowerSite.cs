using GraftWatch.Aftercare.Grafts;
using GraftWatch.Pages.Grafts;
using GraftWatch.Pages.Labels;
using GraftWatch.Pages.Plan;
using GraftWatch.Pages.Print;
using GraftWatch.Records;
using GraftWatch.Rounds.Pipeline;
using GraftWatch.Rounds.Ports;
using GraftWatch.Serving;

namespace GraftWatch.Pages.Today;

/// <summary>The grower's pages, put together.</summary>
internal static class GrowerSite
{
    /// <summary>Registers them and what they need.</summary>
    internal static void AddGrowerPages(this IServiceCollection services)
    {
        services.AddSingleton(provider => new GrowerDays(
            provider.GetRequiredService<RoundMaking>(),
            provider.GetRequiredService<IRegister>(),
            provider.GetRequiredService<RecordsStore>().Answers,
            cancellationToken => MorningAsync(provider.GetRequiredService<SettingsInForce>(), provider.GetRequiredService<RecordsStore>(), cancellationToken)));
        services.AddSingleton<TodayService>();
        services.AddSingleton<UploadShelf>();
        services.AddPages<TodayPages>();
        services.AddPages<AnswerPages>();
        services.AddPages<GraftListPages>();
        services.AddPages<OneGraftPages>();
        services.AddPages<GraftFormPages>();
        services.AddPages<UploadPages>();
        services.AddPages<PlanPages>();
        services.AddPages<PrintPages>();
        services.AddPages<LabelPages>();
    }

    // Places of who subscribed stand in the store; one of the settings with the same name is the one that counts.
    private static async Task<MorningSettings> MorningAsync(SettingsInForce settings, RecordsStore store, CancellationToken cancellationToken)
    {
        MorningSettings morning = settings.Current.Morning;
        IReadOnlyList<Place> kept = await store.Book.LoadPlacesAsync(cancellationToken).ConfigureAwait(false);
        if (kept.Count == 0)
        {
            return morning;
        }

        var places = new Dictionary<string, Place>(morning.Places, StringComparer.OrdinalIgnoreCase);
        foreach (Place place in kept)
        {
            places.TryAdd(place.Name, place);
        }

        return morning with { Places = places };
    }
}
