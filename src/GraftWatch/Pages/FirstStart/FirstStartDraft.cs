using GraftWatch.Aftercare.Advising;
using GraftWatch.Aftercare.Grafts;
using GraftWatch.Pages.Operator;
using GraftWatch.Settings.Installation;
using NodaTime;

namespace GraftWatch.Pages.FirstStart;

/// <summary>What was answered so far. It lives in memory until the settings are written.</summary>
internal sealed record FirstStartDraft
{
    /// <summary>Name of the place; null while it was not answered.</summary>
    internal string? PlaceName { get; init; }

    /// <summary>Where it lies.</summary>
    internal Spot? Spot { get; init; }

    /// <summary>The mail server; null for letters as files.</summary>
    internal MailSettings? Mail { get; init; }

    /// <summary>Password at the mail server; empty for none.</summary>
    internal string Password { get; init; } = string.Empty;

    /// <summary>Whether it was decided how letters leave.</summary>
    internal bool KnowsMail { get; init; }

    /// <summary>The first grower.</summary>
    internal FirstGrower? Grower { get; init; }

    /// <summary>Grafts of an uploaded register; empty to begin with none.</summary>
    internal IReadOnlyList<Graft> Grafts { get; init; } = [];

    /// <summary>Whether it was decided about the register.</summary>
    internal bool KnowsRegister { get; init; }

    /// <summary>The path of the first step that is not answered yet.</summary>
    internal string NextStep => Spot is null ? "/first-start/place" : !KnowsMail ? "/first-start/mail" : Grower is null ? "/first-start/grower" : !KnowsRegister ? "/first-start/register" : "/first-start/finish";
}

/// <summary>The first grower, who is also the operator.</summary>
/// <param name="Name">As the letter greets.</param>
/// <param name="Address">Mail address.</param>
/// <param name="Hour">Local time of the letter.</param>
/// <param name="Units">Units of the texts.</param>
/// <param name="Language">Tag of the language of the pages.</param>
internal sealed record FirstGrower(string Name, string Address, LocalTime Hour, UnitSystem Units, string Language);
