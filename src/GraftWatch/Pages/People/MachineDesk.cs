using GraftWatch.Pages.Security;

namespace GraftWatch.Pages.People;

/// <summary>Lets in who can read what the program writes, as the operator, while the settings name nobody.</summary>
/// <remarks>
/// The code stands on the terminal or in the journal. It is told at the start and, once it was used up, when its form is next asked
/// for. Who is in stays in until they leave or the program ends: nothing of it is kept.
/// </remarks>
internal sealed class MachineDesk(ILogger<MachineDesk> logger)
{
    private const int MostInside = 20;
    private readonly Lock gate = new();
    private readonly EntryCode code = new();
    private readonly Queue<string> inside = new();
    private bool isTold;

    /// <summary>Tells the code unless it was told.</summary>
    internal void Tell()
    {
        lock (gate)
        {
            if (!isTold)
            {
                isTold = true;
                Log.MachineCode(logger, MachinePages.Path, EntryCode.Spell(code.Now));
            }
        }
    }

    /// <summary>Uses the code up; gives the token of the browser that is in, or null.</summary>
    internal string? Enter(string typed)
    {
        lock (gate)
        {
            bool isRight = code.Use(typed, out bool isNew);
            isTold &= !isNew;
            if (!isRight)
            {
                return null;
            }

            string token = Tokens.Fresh();
            inside.Enqueue(Kept(token));
            if (inside.Count > MostInside)
            {
                inside.Dequeue();
            }

            return token;
        }
    }

    /// <summary>The operator, when the browser is in and still at the machine; null for everybody else.</summary>
    internal SignedIn? Who(HttpContext http, SiteOptions options) =>
        AtTheMachine.IsHere(http, options) && PageCookies.Session(http) is { } token && Tokens.IsShaped(token) && IsIn(token)
            ? new SignedIn(string.Empty, 0, null, IsOperator: true, IsKeptInFile: false, null)
            : null;

    /// <summary>The browser is out from now on.</summary>
    internal void Leave(HttpContext http)
    {
        if (PageCookies.Session(http) is { } token && Tokens.IsShaped(token))
        {
            lock (gate)
            {
                string[] others = [.. inside.Where(kept => kept != Kept(token))];
                inside.Clear();
                foreach (string other in others)
                {
                    inside.Enqueue(other);
                }
            }
        }
    }

    private bool IsIn(string token)
    {
        string wanted = Kept(token);
        lock (gate)
        {
            return inside.Contains(wanted);
        }
    }

    private static string Kept(string token) => Convert.ToHexString(Tokens.Hash(token));
}

/// <summary>Tells the code at the start where it is needed.</summary>
internal sealed class MachineGreeting(MachineDesk desk, Func<SiteOptions> site) : IHostedService
{
    public Task StartAsync(CancellationToken cancellationToken)
    {
        if (AtTheMachine.IsWhatCounts(site()))
        {
            desk.Tell();
        }

        return Task.CompletedTask;
    }

    public Task StopAsync(CancellationToken cancellationToken) => Task.CompletedTask;
}
