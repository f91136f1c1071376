namespace GraftWatch.Serving;

/// <summary>Whether the daemon gets on with its work. Only work that was done moves it, never a timer.</summary>
internal sealed class Pulse(TimeProvider clock)
{
    /// <summary>For so long a delivery may say nothing, such as while a mail server thinks over a letter (RFC 5321, 4.5.3.2.6, allows ten minutes).</summary>
    private static readonly TimeSpan DeliveryMayTake = TimeSpan.FromMinutes(15);

    private readonly Lock gate = new();
    private long looks;
    private long told;
    private long delivered = clock.GetTimestamp();
    private string? held;

    /// <summary>Why nothing is made or sent for now; null while all goes its way.</summary>
    internal string? Held
    {
        get
        {
            lock (gate)
            {
                return held;
            }
        }
    }

    /// <summary>A number that grows while looks move on, and stands still when they do not, or when deliveries have not moved for too long.</summary>
    internal long Progress
    {
        get
        {
            lock (gate)
            {
                told = clock.GetElapsedTime(delivered) < DeliveryMayTake ? looks : told;
                return told;
            }
        }
    }

    /// <summary>One grower's morning, or all, were looked at.</summary>
    internal void Looked()
    {
        lock (gate)
        {
            looks++;
        }
    }

    /// <summary>A pass over the waiting letters ended, or one of them was tried.</summary>
    internal void Delivered()
    {
        lock (gate)
        {
            delivered = clock.GetTimestamp();
        }
    }

    /// <summary>Looks and deliveries are held on purpose: that is work too, and no reason to end the program.</summary>
    internal void Hold(string why)
    {
        lock (gate)
        {
            held = why;
            looks++;
            delivered = clock.GetTimestamp();
        }
    }

    /// <summary>Nothing is held any more.</summary>
    internal void Resume()
    {
        lock (gate)
        {
            held = null;
        }
    }
}
