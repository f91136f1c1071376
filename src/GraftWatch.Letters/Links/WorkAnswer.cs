namespace GraftWatch.Letters.Links;

/// <summary>What a link in a letter asks for.</summary>
public enum WorkAnswer
{
    /// <summary>The work is done.</summary>
    Done = 1,

    /// <summary>Put off until the next letter.</summary>
    PutOff = 2,

    /// <summary>Not needed.</summary>
    NotNeeded = 3,

    /// <summary>Takes back an earlier answer.</summary>
    TakeBack = 4,

    /// <summary>Stop the letters.</summary>
    Stop = 5,

    /// <summary>Start the letters again.</summary>
    Resume = 6,

    /// <summary>Show the day's page.</summary>
    Page = 7,
}
