using GraftWatch.Serving;

namespace GraftWatch.Pages.Operator;

/// <summary>Puts the operator's pages together.</summary>
internal static class OperatorServices
{
    internal static void AddOperatorPages(this IServiceCollection services, ServeParts parts)
    {
        services.AddSingleton(parts);
        services.AddSingleton<CheckRuns>();
        services.AddSingleton<TestLetters>();
        services.AddPages<StatePages>();
        services.AddPages<GrowersPages>();
        services.AddPages<OneGrowerPages>();
        services.AddPages<NewGrowerPages>();
        services.AddPages<LettersPages>();
        services.AddPages<WeatherPages>();
        services.AddPages<SettingsPages>();
    }
}
