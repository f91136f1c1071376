using GraftWatch.Rounds.Ports;

namespace GraftWatch.Letters.Channels;

/// <summary>Carries each sealed letter by the channel its slot names: mail, or a target of the settings.</summary>
public sealed class ChannelRouter : ILetterChannel, IDisposable
{
    /// <summary>Longest time one hand-over by HTTP or MQTT may take.</summary>
    public static readonly TimeSpan Limit = TimeSpan.FromSeconds(20);

    private readonly ILetterChannel mail;
    private readonly Func<SealedLetter, ChannelTarget?> find;
    private readonly HttpChannels http;
    private readonly MqttChannel mqtt;

    /// <summary>Creates the router.</summary>
    /// <param name="mail">The mail channel.</param>
    /// <param name="targets">Targets of the settings, names unique and none called <see cref="LetterSlot.Mail"/>.</param>
    /// <param name="guard">Keeps targets out of the operator's network.</param>
    /// <param name="time">Clock and timer.</param>
    /// <param name="limit">Longest hand-over; null for <see cref="Limit"/>.</param>
    public ChannelRouter(ILetterChannel mail, IEnumerable<ChannelTarget> targets, OutsideGuard guard, TimeProvider time, TimeSpan? limit = null)
        : this(mail, ByName(targets), guard, time, limit)
    {
    }

    /// <summary>Creates a router whose targets may change while it runs.</summary>
    /// <param name="mail">The mail channel.</param>
    /// <param name="find">The target of a letter that does not go by mail; null when there is none.</param>
    /// <param name="guard">Keeps targets out of the operator's network.</param>
    /// <param name="time">Clock and timer.</param>
    /// <param name="limit">Longest hand-over; null for <see cref="Limit"/>.</param>
    public ChannelRouter(ILetterChannel mail, Func<SealedLetter, ChannelTarget?> find, OutsideGuard guard, TimeProvider time, TimeSpan? limit = null)
    {
        this.mail = mail;
        this.find = find;
        http = new HttpChannels(guard, time, limit ?? Limit);
        mqtt = new MqttChannel(guard, time, limit ?? Limit);
    }

    /// <inheritdoc />
    public Task<DeliveryResult> DeliverAsync(SealedLetter letter, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(letter);
        if (letter.Slot.Channel == LetterSlot.Mail)
        {
            return mail.DeliverAsync(letter, cancellationToken);
        }

        return find(letter) switch
        {
            ChannelTarget.SignedPost post => http.DeliverAsync(post, letter, cancellationToken),
            ChannelTarget.TextPost text => http.DeliverAsync(text, letter, cancellationToken),
            ChannelTarget.Matrix matrix => http.DeliverAsync(matrix, letter, cancellationToken),
            ChannelTarget.Mqtt broker => mqtt.DeliverAsync(broker, letter, cancellationToken),
            _ => Task.FromResult(new DeliveryResult(DeliveryOutcome.TryLater, DeliveryReason.NotSetUp, $"the settings have no channel called {Wording.PlainWords.Name(letter.Slot.Channel)}")),
        };
    }

    private static Func<SealedLetter, ChannelTarget?> ByName(IEnumerable<ChannelTarget> targets)
    {
        ArgumentNullException.ThrowIfNull(targets);
        var named = targets.ToDictionary(t => t.Name, StringComparer.Ordinal);
        return named.ContainsKey(LetterSlot.Mail)
            ? throw new ArgumentException($"No target may be called {LetterSlot.Mail}.", nameof(targets))
            : letter => named.GetValueOrDefault(letter.Slot.Channel);
    }

    /// <inheritdoc />
    public void Dispose() => http.Dispose();
}
