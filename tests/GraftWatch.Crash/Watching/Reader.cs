using System.Globalization;
using System.Text;

namespace GraftWatch.Crash.Watching;

/// <summary>Somebody who is to get letters, as the watcher knows them.</summary>
/// <param name="Name">Name.</param>
/// <param name="ZoneId">Zone of the letter hour.</param>
/// <param name="Hour">Letter hour.</param>
public sealed record Reader(string Name, string ZoneId, TimeOnly Hour)
{
    /// <summary>Invented growers in zones whose clocks change at many hours; four share an hour, so that letters go side by side.</summary>
    public static IReadOnlyList<Reader> All { get; } =
    [
        new("G01", "Europe/Berlin", new(6, 30)),
        new("G02", "Europe/Berlin", new(6, 30)),
        new("G03", "Europe/Berlin", new(6, 30)),
        new("G04", "Europe/Berlin", new(6, 30)),
        new("G05", "Europe/Berlin", new(2, 30)),
        new("G06", "America/New_York", new(1, 30)),
        new("G07", "Asia/Kolkata", new(6, 0)),
        new("G08", "Australia/Lord_Howe", new(2, 15)),
        new("G09", "America/Santiago", new(0, 15)),
        new("G10", "Africa/Cairo", new(0, 15)),
        new("G11", "Pacific/Auckland", new(5, 45)),
        new("G12", "Atlantic/Azores", new(23, 50)),
    ];

    /// <summary>Mail address.</summary>
    public string Address => Name.ToLowerInvariant() + "@growers.example";

    /// <summary>Writes the settings of an installation with these readers.</summary>
    public static string Settings(IReadOnlyList<Reader> readers, int mailPort, Uri weather)
    {
        var text = new StringBuilder("data_folder = \"data\"\n\n");
        string[] zones = [.. readers.Select(reader => reader.ZoneId).Distinct()];
        for (int i = 0; i < zones.Length; i++)
        {
            text.Append(CultureInfo.InvariantCulture, $"[[place]]\nname = \"{zones[i]}\"\nlatitude = {40 + i}.5\nlongitude = {8 + i}.5\nelevation = \"{200 + i} m\"\nzone = \"{zones[i]}\"\n\n");
        }

        foreach (Reader reader in readers)
        {
            text.Append(CultureInfo.InvariantCulture, $"[[grower]]\nname = \"{reader.Name}\"\naddress = \"{reader.Address}\"\nletter_hour = \"{reader.Hour:HH\\:mm}\"\nunits = \"metric\"\nplaces = [\"{reader.ZoneId}\"]\n\n");
        }

        return text.Append(CultureInfo.InvariantCulture, $"[mail]\nhost = \"127.0.0.1\"\nport = {mailPort}\nsecurity = \"plain\"\nfrom = \"letters@orchard.example\"\n\n[weather]\naddress = \"{weather}\"\n").ToString();
    }
}
