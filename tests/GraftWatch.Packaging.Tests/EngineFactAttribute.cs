using System.Runtime.CompilerServices;
using Xunit.Sdk;
using Xunit.v3;

namespace GraftWatch.Packaging.Tests;

/// <summary>A test for a container engine. It is not among the tests at all unless GRAFTWATCH_ENGINE names one: what an engine may do differs from machine to machine, and no machine is given one by the whole check.</summary>
[AttributeUsage(AttributeTargets.Method)]
[XunitTestCaseDiscoverer(typeof(OnlyWithAnEngine))]
internal sealed class EngineFactAttribute([CallerFilePath] string? file = null, [CallerLineNumber] int line = -1) : FactAttribute(file, line)
{
    /// <summary>The engine's command, such as podman; empty without one.</summary>
    internal static string Engine { get; } = Environment.GetEnvironmentVariable("GRAFTWATCH_ENGINE") ?? string.Empty;
}

/// <inheritdoc cref="EngineFactAttribute"/>
public sealed class OnlyWithAnEngine : FactDiscoverer
{
    /// <inheritdoc/>
    public override ValueTask<IReadOnlyCollection<IXunitTestCase>> Discover(ITestFrameworkDiscoveryOptions discoveryOptions, IXunitTestMethod testMethod, IFactAttribute factAttribute) =>
        EngineFactAttribute.Engine.Length == 0 ? new([]) : base.Discover(discoveryOptions, testMethod, factAttribute);
}
