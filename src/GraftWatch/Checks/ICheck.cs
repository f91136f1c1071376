namespace GraftWatch.Checks;

/// <summary>Checks one thing of an installation.</summary>
internal interface ICheck
{
    /// <summary>The word <c>--only</c> takes.</summary>
    string Subject { get; }

    /// <summary>Whether it can be checked while the settings are wrong.</summary>
    bool NeedsSettings => true;

    /// <summary>One line for each finding.</summary>
    IAsyncEnumerable<CheckLine> RunAsync(CheckScope scope, CancellationToken cancellationToken);
}
