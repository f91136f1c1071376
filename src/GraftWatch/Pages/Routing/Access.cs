namespace GraftWatch.Pages.Routing;

/// <summary>Who may see a page.</summary>
internal enum Access
{
    /// <summary>Anybody.</summary>
    Anyone = 0,

    /// <summary>Anybody who is signed in, whether or not they grow anything.</summary>
    SignedIn,

    /// <summary>A signed-in grower.</summary>
    Grower,

    /// <summary>A signed-in operator.</summary>
    Operator,
}

/// <summary>One entry of the navigation.</summary>
/// <param name="Key">Phrase of its words.</param>
/// <param name="Path">Where it leads.</param>
/// <param name="For">Who sees it.</param>
/// <param name="Order">Place in the row; growers' pages below 100, the operator's from 100.</param>
internal sealed record MenuEntry(string Key, string Path, Access For, int Order);

/// <summary>Pages of one subject. Registered with <c>services.AddPages&lt;T&gt;()</c>.</summary>
internal interface IPageGroup
{
    /// <summary>What the navigation shows of them.</summary>
    IReadOnlyList<MenuEntry> Menu => [];

    /// <summary>Says which address is answered by what.</summary>
    void Map(PageRoutes routes);
}
