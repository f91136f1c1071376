using GraftWatch.Serving;

namespace GraftWatch.Pages.People;

/// <summary>Registers the pages about people: sign-in, subscribing, one's own page.</summary>
internal static class PeopleServices
{
    internal static void AddPeoplePages(this IServiceCollection services, ServeParts parts)
    {
        services.AddSingleton(provider => new EntryMails(parts.Mail, provider.GetRequiredService<Func<SiteOptions>>(), provider.GetRequiredService<OwnAddress>()));
        services.AddSingleton<EntryDesk>();
        services.AddHostedService(provider => provider.GetRequiredService<EntryDesk>());
        services.AddSingleton<SignInPages>();
        services.AddHostedService<MachineGreeting>();
        services.AddPages<FirstPage>();
        services.AddPages<MachinePages>();
        services.AddSingleton<Routing.IPageGroup>(provider => provider.GetRequiredService<SignInPages>());
        services.AddPages<SubscribePages>();
        services.AddPages<YouPages>();
        services.AddPages<AddressPages>();
        services.AddPages<ProfilePages>();
        services.AddPages<WayPages>();
        services.AddPages<LeavePages>();
    }
}
