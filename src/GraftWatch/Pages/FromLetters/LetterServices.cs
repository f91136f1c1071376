using GraftWatch.Records.Observations;
using GraftWatch.Rounds.Answering;
using GraftWatch.Serving;

namespace GraftWatch.Pages.FromLetters;

/// <summary>Registers what stands behind the links of letters.</summary>
internal static class LetterServices
{
    internal static void AddLetterPages(this IServiceCollection services, ServeParts parts)
    {
        services.AddSingleton<LetterLinks>();
        services.AddSingleton(new WorkAnswers(parts.Store.Answers, note => ObservationWords.Of(note.Kind, note.Value, note.Words)));
        services.AddPages<LetterLinkPages>();
        services.AddSingleton<CalendarFeed>();
        services.AddSingleton<Routing.IPageGroup>(provider => provider.GetRequiredService<CalendarFeed>());
    }
}
