namespace GraftWatch.Microclimate.Wind;

/// <summary>What holds a scion's shoot besides its union.</summary>
public enum ShootSupport
{
    /// <summary>Nothing.</summary>
    Free,

    /// <summary>One tie to something firm (a nurse branch, a short stick) at a known distance above the union.</summary>
    Tied,

    /// <summary>A stake that passes the union, with ties below it and along the shoot.</summary>
    Staked,
}
