using System.Diagnostics.CodeAnalysis;
using GraftWatch.Settings.Faults;

namespace GraftWatch.Settings;

/// <summary>What came of reading files: either the whole value, or every fault found. Never half of it.</summary>
/// <typeparam name="T">What was read.</typeparam>
public sealed class Loaded<T>
    where T : class
{
    private Loaded(T? value, IReadOnlyList<SettingsFault> faults, IReadOnlyList<FileOrigin> origins, IReadOnlyList<SettingsFault> warnings)
    {
        Value = value;
        Faults = faults;
        Origins = origins;
        Warnings = warnings;
    }

    /// <summary>The value; null when there are faults.</summary>
    public T? Value { get; }

    /// <summary>Every fault, by file and line; empty when the value is there.</summary>
    public IReadOnlyList<SettingsFault> Faults { get; }

    /// <summary>Which files the value comes from.</summary>
    public IReadOnlyList<FileOrigin> Origins { get; }

    /// <summary>Things that are allowed and probably not meant.</summary>
    public IReadOnlyList<SettingsFault> Warnings { get; }

    /// <summary>Whether the files are right.</summary>
    [MemberNotNullWhen(true, nameof(Value))]
    public bool IsValid => Value is not null;

    /// <summary>The faults as lines for a terminal.</summary>
    public override string ToString() => IsValid ? $"{typeof(T).Name}: no faults" : string.Join('\n', Faults);

    internal static Loaded<T> Valid(T value, IReadOnlyList<FileOrigin> origins, IReadOnlyList<SettingsFault> warnings) => new(value, [], origins, warnings);

    internal static Loaded<T> Invalid(IReadOnlyList<SettingsFault> faults, IReadOnlyList<FileOrigin> origins, IReadOnlyList<SettingsFault> warnings) =>
        new(null, faults, origins, warnings);
}

/// <summary>Where one of the files came from.</summary>
/// <param name="Name">File name, such as <c>thresholds.toml</c>.</param>
/// <param name="Path">Its path, or null when the copy shipped inside the program is in force.</param>
public sealed record FileOrigin(string Name, string? Path)
{
    /// <summary>Whether the shipped copy is in force because the folder has no such file.</summary>
    public bool IsShipped => Path is null;

    /// <inheritdoc/>
    public override string ToString() => IsShipped ? $"{Name}: shipped with the program" : $"{Name}: {Path}";
}
