using GraftWatch.Forecasts;
using GraftWatch.Letters;
using GraftWatch.Records;
using GraftWatch.Serving.Clocks;
using GraftWatch.Serving.Systemd;

namespace GraftWatch.Serving;

/// <summary>What the daemon is put together from; a test puts in its own clock and log.</summary>
internal sealed record ServeParts
{
    /// <summary>The settings, read and right.</summary>
    public required SettingsInForce Settings { get; init; }

    /// <summary>The open store.</summary>
    public required RecordsStore Store { get; init; }

    /// <summary>Connection string of the PostgreSQL server on which daemons share the beat; null where the store is one daemon's own.</summary>
    public string? BeatServer { get; init; }

    /// <summary>Mail server and sender; without a host letters become files.</summary>
    public required MailOptions Mail { get; init; }

    /// <summary>The clock of everything.</summary>
    public required TimeProvider Clock { get; init; }

    /// <summary>Clock of the limits on the line to the mail server: real seconds, also where a test moves <see cref="Clock"/>.</summary>
    public TimeProvider LineClock { get; init; } = TimeProvider.System;

    /// <summary>Who is asked when the clock is in doubt; a test that moves the clock itself takes its word.</summary>
    public IClockWitness Witness { get; init; } = new TrustingWitness();

    /// <summary>Where the log goes.</summary>
    public required Action<ILoggingBuilder> Logging { get; init; }

    /// <summary>A last say on where the services are; the settings have it unless a test brings its own.</summary>
    public Func<WeatherSetup, WeatherSetup> Sources { get; init; } = setup => setup;

    /// <summary>A last say on the parts; the crash harness puts its watchers around the ports.</summary>
    public Action<IServiceCollection> Around { get; init; } = _ => { };

    /// <summary>Reads an environment variable, for secrets of channels.</summary>
    public Func<string, string?> Environment { get; init; } = System.Environment.GetEnvironmentVariable;

    /// <summary>Address and port of the pages; null for none.</summary>
    public string? Listen { get; init; }

    /// <summary>Address and port, on this machine, of health and metrics; null for none.</summary>
    public string? Watch { get; init; }

    /// <summary>The service manager that started the process; null when none did.</summary>
    public ServiceManager? Manager { get; init; }
}
