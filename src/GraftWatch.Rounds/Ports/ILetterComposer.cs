using GraftWatch.Aftercare.Advising;
using NodaTime;

namespace GraftWatch.Rounds.Ports;

/// <summary>Turns a round into a letter.</summary>
public interface ILetterComposer
{
    /// <summary>Composes and seals the morning letter.</summary>
    /// <param name="round">What to say.</param>
    /// <param name="grower">To whom.</param>
    /// <param name="number">Running number of the grower's letters.</param>
    /// <param name="now">The instant of the run; becomes the letter's date.</param>
    SealedLetter Compose(Round round, Grower grower, int number, Instant now);
}
