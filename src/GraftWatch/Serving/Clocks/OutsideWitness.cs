using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Serving.Clocks;

/// <summary>Asks the machine's time service, and where that says nothing a web server for its Date (RFC 9110, 6.6.1).</summary>
/// <param name="address">The weather service; it is asked anyway, and its clock is not ours.</param>
internal sealed class OutsideWitness(Uri address) : IClockWitness, IDisposable
{
    // Made by systemd-timesyncd when it has set the clock since the machine was started.
    private const string SetByTimeService = "/run/systemd/timesync/synchronized";
    private static readonly TimeSpan LongestAnswer = TimeSpan.FromSeconds(10);
    private static readonly Duration Near = Duration.FromMinutes(10);
    private readonly HttpClient client = new(new SocketsHttpHandler { AllowAutoRedirect = false, ConnectTimeout = LongestAnswer }) { Timeout = LongestAnswer };

    public async Task<ClockWord> AskAsync(Instant now, CancellationToken cancellationToken)
    {
        if (File.Exists(SetByTimeService))
        {
            return new ClockWord(ClockVerdict.Right, "the machine's time service has set it");
        }

        try
        {
            using var request = new HttpRequestMessage(HttpMethod.Head, address);
            using HttpResponseMessage answer = await client.SendAsync(request, cancellationToken).ConfigureAwait(false);
            if (answer.Headers.Date is not { } date)
            {
                return ClockWord.Silent;
            }

            var theirs = Instant.FromDateTimeOffset(date);
            bool near = now - theirs < Near && theirs - now < Near;
            return new ClockWord(near ? ClockVerdict.Right : ClockVerdict.Wrong, $"{address.Host} says {InstantPattern.General.Format(theirs)}");
        }
        catch (Exception e) when (e is HttpRequestException or TaskCanceledException && !cancellationToken.IsCancellationRequested)
        {
            return ClockWord.Silent;
        }
    }

    public void Dispose() => client.Dispose();
}
