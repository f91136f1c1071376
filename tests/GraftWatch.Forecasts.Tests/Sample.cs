using System.Text;
using GraftWatch.Testing;

namespace GraftWatch.Forecasts.Tests;

/// <summary>Hand-made replies of the folder Samples.</summary>
internal static class Sample
{
    public static IReadOnlyList<string> OpenForecast { get; } =
        ["open-frost-morning.json", "open-two-places-american-units-old-names.json", "open-nulls-and-undefined.json"];

    public static byte[] Bytes(string name) => File.ReadAllBytes(Path(name));

    public static string Text(string name) => Encoding.UTF8.GetString(Bytes(name));

    public static string Path(string name) => Repository.PathOf("tests", "GraftWatch.Forecasts.Tests", "Samples", name);
}
