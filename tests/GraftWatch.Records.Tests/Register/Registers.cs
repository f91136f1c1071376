using GraftWatch.Aftercare.Trade;
using GraftWatch.Records.Register;
using GraftWatch.Settings;
using NodaTime;

namespace GraftWatch.Records.Tests.Register;

/// <summary>Reads registers from text with the shipped handbook.</summary>
internal static class Registers
{
    internal static Handbook Handbook { get; } = SettingsLoader.LoadHandbook(folder: null).Value!;

    internal static LocalDate Today { get; } = new(2026, 5, 14);

    internal static RegisterContext Context { get; } = new() { DefaultPlace = "Home" };

    internal static RegisterReading Read(string text) => RegisterCsv.Parse(text, Handbook, Today, Context);

    /// <summary>A register of the given columns and one row.</summary>
    internal static RegisterReading Row(string columns, string cells) =>
        Read($"label,species,technique,made{(columns.Length > 0 ? "," : string.Empty)}{columns}\nA1,apple,cleft,2026-04-12{(columns.Length > 0 ? "," : string.Empty)}{cells}\n");
}
