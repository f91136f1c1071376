using System.CommandLine;
using GraftWatch.Aftercare.Advising;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Commands;

/// <summary>Options that several commands share, so that they read and mean the same everywhere.</summary>
internal static class SharedOptions
{
    internal static Option<string?> Weather() => new("--weather")
    {
        Description = "A saved reply of the open forecast API, as it came; left out, the forecast is fetched.",
        HelpName = "FILE",
    };

    internal static Option<string?> Grafts() => new("--grafts")
    {
        Description = "The register as CSV; left out, the register of the settings is used.",
        HelpName = "FILE.csv",
    };

    internal static Option<string?> Config() => new("--config")
    {
        Description = "Folder of graftwatch.toml, thresholds.toml, species.toml and materials.toml; what it lacks is taken as shipped.",
        HelpName = "DIR",
    };

    internal static Option<string?> Grower() => new("--grower")
    {
        Description = "Whose round, by the name in graftwatch.toml; left out, the first.",
        HelpName = "NAME",
    };

    internal static Option<string[]> Planned() => new("--planned")
    {
        Description = "A grafting planned, such as \"apple whip-and-tongue\" or \"walnut patch-bud at Hill\": which of the next ten days suit it. May be repeated or hold several between commas; left out, those of the settings.",
        HelpName = "SPECIES TECHNIQUE",
        CustomParser = result => [.. result.Tokens.SelectMany(token => token.Value.Split(',', StringSplitOptions.TrimEntries | StringSplitOptions.RemoveEmptyEntries))],
    };

    internal static Option<bool> Json() => new("--json") { Description = "Print JSON (docs/round.schema.json) instead of text." };

    internal static Option<LocalDate?> Date(string name, string description)
    {
        return new Option<LocalDate?>(name)
        {
            Description = description,
            HelpName = "YYYY-MM-DD",
            CustomParser = result =>
            {
                ParseResult<LocalDate> date = LocalDatePattern.Iso.Parse(result.Tokens[0].Value);
                if (date.Success)
                {
                    return date.Value;
                }

                result.AddError($"{name}: '{result.Tokens[0].Value}' is not a date; write it as 2026-05-14.");
                return null;
            },
        };
    }

    internal static Option<DateTimeZone?> Zone() => new("--zone")
    {
        Description = "Time zone of the places by its IANA name; left out, that of the settings or of the reply.",
        HelpName = "REGION/CITY",
        CustomParser = result =>
        {
            string name = result.Tokens[0].Value;
            if (DateTimeZoneProviders.Tzdb.Ids.Contains(name))
            {
                return DateTimeZoneProviders.Tzdb[name];
            }

            result.AddError($"--zone: '{name}' is not a time zone; write its IANA name, such as Europe/Berlin.");
            return null;
        },
    };

    internal static Option<UnitSystem?> Units() => new("--units")
    {
        Description = "Units of the text: metric (°C, km/h, mm) or us (°F, mph, inches); left out, the grower's.",
        HelpName = "metric|us",
        CustomParser = result =>
        {
            switch (result.Tokens[0].Value)
            {
                case "metric":
                    return UnitSystem.Metric;
                case "us":
                    return UnitSystem.UnitedStates;
                default:
                    result.AddError($"--units: '{result.Tokens[0].Value}' is not known; write metric or us.");
                    return null;
            }
        },
    };
}
