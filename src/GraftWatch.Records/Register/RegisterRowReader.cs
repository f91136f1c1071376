using GraftWatch.Aftercare.Grafts;
using GraftWatch.Aftercare.Trade;
using NodaTime;
using NodaTime.Text;

namespace GraftWatch.Records.Register;

/// <summary>Turns records into grafts.</summary>
internal sealed class RegisterRowReader
{
    private const int LongestLabel = 60;
    private const int LongestText = 2000;
    private static readonly LocalDate Earliest = new(1950, 1, 1);

    private readonly RegisterHeader header;
    private readonly Handbook handbook;
    private readonly LocalDate today;
    private readonly RegisterContext context;
    private readonly List<RegisterFault> faults;
    private readonly IReadOnlyDictionary<string, string> species;
    private readonly MaterialWords covers;
    private readonly MaterialWords ties;
    private readonly MaterialWords seals;
    private readonly Dictionary<string, Place> places = new(StringComparer.OrdinalIgnoreCase);
    private readonly Dictionary<string, int> labels = new(StringComparer.OrdinalIgnoreCase);

    internal RegisterRowReader(RegisterHeader header, Handbook handbook, LocalDate today, RegisterContext context, List<RegisterFault> faults)
    {
        this.header = header;
        this.handbook = handbook;
        this.today = today;
        this.context = context;
        this.faults = faults;
        species = SpeciesWords.Of(handbook.Species.Values);
        covers = new MaterialWords(handbook.Covers.Values.Select(c => (c.Key, c.Name)));
        ties = new MaterialWords(handbook.Ties.Values.Select(t => (t.Key, t.Name)));
        seals = new MaterialWords(handbook.Seals.Values.Select(s => (s.Key, s.Name)));
        foreach (Place place in context.Places)
        {
            places.TryAdd(place.Name, place);
        }
    }

    /// <summary>The graft of one record, or null with at least one fault.</summary>
    internal Graft? Read(CsvRecord record)
    {
        if (record.IsBroken)
        {
            return null;
        }

        if (record.Cells.Count != header.Width)
        {
            FaultWidth(record);
            return null;
        }

        int before = faults.Count;
        var cells = new RegisterCells(record, header, context.File, faults);
        Graft graft = Read(cells);
        return faults.Count == before ? graft : null;
    }

    private Graft Read(RegisterCells cells)
    {
        string label = ReadLabel(cells);
        (string placeName, Place? place) = ReadPlace(cells);
        Technique? technique = ReadTechnique(cells);
        Technique form = technique ?? Technique.WhipAndTongue;
        double heightM = cells.Number(RegisterColumns.Height, 0.02, 15, "m", 1, RegisterDefaults.HeightM(form), $"as usual for {TradeNames.Key(form)}");
        double diameterM = ReadDiameter(cells, technique, form);
        return new Graft
        {
            Label = label,
            Place = placeName,
            Block = cells.Text(RegisterColumns.Block, LongestText),
            Row = cells.Text(RegisterColumns.Row, LongestText),
            Tree = cells.Text(RegisterColumns.Tree, LongestText),
            Species = ReadSpecies(cells),
            Scion = cells.Text(RegisterColumns.Scion, LongestText),
            Stock = cells.Text(RegisterColumns.Stock, LongestText),
            Technique = form,
            Made = ReadMade(cells),
            Count = cells.Whole(RegisterColumns.Count, 1, 100_000, 1, "1 union"),
            AspectDeg = ReadAspect(cells, place?.Site.LatitudeDeg ?? context.LatitudesDeg.GetValueOrDefault(placeName)),
            TiltDeg = cells.Number(RegisterColumns.Tilt, 0, 90, "°", 1, 0, "upright"),
            HeightM = heightM,
            DiameterM = diameterM,
            Cover = ReadMaterial(cells, RegisterColumns.Cover, covers, "none"),
            Tie = ReadMaterial(cells, RegisterColumns.Tie, ties, handbook.Ties.ContainsKey(RegisterDefaults.Tie(form)) ? RegisterDefaults.Tie(form) : "none"),
            Seal = ReadMaterial(cells, RegisterColumns.Seal, seals, handbook.Seals.ContainsKey(RegisterDefaults.Seal(form)) ? RegisterDefaults.Seal(form) : "none"),
            ShootM = cells.OptionalNumber(RegisterColumns.Shoot, 0, 600, "cm", 100),
            Bbch = cells.OptionalWhole(RegisterColumns.Bbch, 0, 99),
            NurseBuds = cells.Whole(RegisterColumns.NurseBuds, 0, 1000, 0, "none"),
            Support = ReadSupport(cells),
            Notes = cells.Text(RegisterColumns.Notes, LongestText),
            Assumed = cells.Assumed,
        };
    }

    private string ReadLabel(RegisterCells cells)
    {
        string label = cells.Required(RegisterColumns.Label, "A short code, unique in the register.");
        if (label.Length > LongestLabel || label.Any(char.IsControl))
        {
            cells.Fault(RegisterColumns.Label, label.Length > LongestLabel ? $"The label has {label.Length} letters." : "The label goes over more than one line.", $"Expected at most {LongestLabel} letters on one line.");
        }
        else if (label.Length > 0 && !labels.TryAdd(label, cells.LineOf(RegisterColumns.Label)))
        {
            cells.Fault(RegisterColumns.Label, $"'{label}' is on line {labels[label]} already.", "A label is used once in a register.");
        }

        return label;
    }

    private (string Name, Place? Place) ReadPlace(RegisterCells cells)
    {
        string name = cells.Text(RegisterColumns.Place, LongestText);
        if (name.Length > 0)
        {
            if (places.TryGetValue(name, out Place? place))
            {
                return (place.Name, place);
            }

            if (places.Count > 0)
            {
                cells.Fault(RegisterColumns.Place, $"There is no place named '{RegisterCells.Cut(name)}'.", RegisterCells.Nearest(name, places.Keys.ToList()));
            }

            return (name, null);
        }

        if (places.Count > 1)
        {
            cells.Fault(RegisterColumns.Place, "The cell is empty.", $"There is more than one place: {string.Join(", ", places.Keys)}.");
            return (string.Empty, null);
        }

        Place? only = places.Values.FirstOrDefault();
        string taken = only?.Name ?? context.DefaultPlace;
        cells.Assume(RegisterColumns.Place, taken.Length > 0 ? taken : "the place of the weather");
        return (taken, only);
    }

    private static Technique? ReadTechnique(RegisterCells cells)
    {
        string word = cells.Required(RegisterColumns.Technique, $"One of {string.Join(", ", TradeNames.Techniques)}.");
        if (word.Length == 0)
        {
            return null;
        }

        if (TradeNames.TryParse(word, out Technique technique))
        {
            return technique;
        }

        cells.Fault(RegisterColumns.Technique, $"'{RegisterCells.Cut(word)}' is not a technique known here.", RegisterCells.Nearest(word, TradeNames.Techniques));
        return null;
    }

    private string ReadSpecies(RegisterCells cells)
    {
        string word = cells.Required(RegisterColumns.Species, "A species of species.toml.");
        if (word.Length == 0 || species.TryGetValue(TradeNames.Fold(word), out string? key))
        {
            return word.Length == 0 ? word : species[TradeNames.Fold(word)];
        }

        string? near = NearestName.Of(TradeNames.Fold(word), species.Keys);
        string expected = near is null ? $"Known: {string.Join(", ", handbook.Species.Keys)}."
            : near == species[near] ? $"Nearest known: {near}."
            : $"Nearest known: {near}, which is {species[near]}.";
        cells.Fault(RegisterColumns.Species, $"'{RegisterCells.Cut(word)}' is not a species known here.", expected);
        return string.Empty;
    }

    private LocalDate ReadMade(RegisterCells cells)
    {
        string text = cells.Required(RegisterColumns.Made, "The day of grafting, such as 2026-04-12.");
        if (text.Length == 0)
        {
            return today;
        }

        ParseResult<LocalDate> read = LocalDatePattern.Iso.Parse(text);
        if (!read.Success)
        {
            cells.Fault(RegisterColumns.Made, $"'{RegisterCells.Cut(text)}' is not a date.", "Expected year-month-day, such as 2026-04-12.");
            return today;
        }

        if (read.Value > today)
        {
            cells.Fault(RegisterColumns.Made, $"{text} is in the future.", $"Expected a day up to today, {LocalDatePattern.Iso.Format(today)}.");
        }
        else if (read.Value < Earliest)
        {
            cells.Fault(RegisterColumns.Made, $"{text} is before {LocalDatePattern.Iso.Format(Earliest)}.", "Is the year right?");
        }

        return read.Value;
    }

    private static double ReadAspect(RegisterCells cells, double latitudeDeg)
    {
        string text = cells.Raw(RegisterColumns.Aspect);
        if (text.Length == 0)
        {
            double taken = RegisterDefaults.AspectDeg(latitudeDeg);
            cells.Assume(RegisterColumns.Aspect, taken == 225 ? "south-west, the warmest side" : "north-west, the warmest side");
            return taken;
        }

        if (CompassWords.Degrees(text) is var degrees && double.IsFinite(degrees))
        {
            return degrees;
        }

        if (char.IsAsciiLetter(text[0]))
        {
            cells.Fault(RegisterColumns.Aspect, $"'{RegisterCells.Cut(text)}' is not a point of the compass.", $"Expected degrees from 0 to 360, or one of {string.Join(", ", CompassWords.All)}.");
            return 0;
        }

        double aspect = cells.Number(RegisterColumns.Aspect, 0, 360, "°", 1, 0, string.Empty);
        return aspect == 360 ? 0 : aspect;
    }

    private static double ReadDiameter(RegisterCells cells, Technique? technique, Technique form)
    {
        double diameterM = cells.Number(RegisterColumns.Diameter, 2, 600, "mm", 1000, RegisterDefaults.DiameterM(form), $"as usual for {TradeNames.Key(form)}");
        if (technique is { } known && cells.Raw(RegisterColumns.Diameter).Length > 0 && double.IsFinite(diameterM))
        {
            (double least, double most) = RegisterDefaults.DiameterRangeM(known);
            if (diameterM < least || diameterM > most)
            {
                cells.Fault(RegisterColumns.Diameter, $"{cells.Raw(RegisterColumns.Diameter)} mm cannot be right for {TradeNames.Key(known)}.", $"Expected {RegisterCells.Shown(least * 1000)} to {RegisterCells.Shown(most * 1000)} mm, the diameter at the union.");
            }
        }

        return diameterM;
    }

    private static string ReadMaterial(RegisterCells cells, string column, MaterialWords words, string otherwise)
    {
        string text = cells.Raw(column);
        if (text.Length == 0)
        {
            cells.Assume(column, otherwise);
            return otherwise;
        }

        if (words.Find(text) is { } key)
        {
            return key;
        }

        cells.Fault(column, $"'{RegisterCells.Cut(text)}' is not a {column} known here.", RegisterCells.Nearest(text, words.Keys));
        return "none";
    }

    private static ShootSupport ReadSupport(RegisterCells cells)
    {
        string text = cells.Raw(RegisterColumns.Staked);
        switch (TradeNames.Fold(text))
        {
            case "":
                cells.Assume(RegisterColumns.Staked, "no");
                return ShootSupport.Free;
            case "no" or "false" or "0":
                return ShootSupport.Free;
            case "yes" or "true" or "1":
                return ShootSupport.Staked;
            default:
                if (TradeNames.TryParse(text, out ShootSupport support))
                {
                    return support;
                }

                cells.Fault(RegisterColumns.Staked, $"'{RegisterCells.Cut(text)}' does not say how the shoot is held.", "Expected no, tied or staked.");
                return ShootSupport.Free;
        }
    }

    private void FaultWidth(CsvRecord record)
    {
        int extra = record.Cells.Count - header.Width;
        int torn = extra > 0 ? TornNumber(record) : -1;
        string expected = torn >= 0 ? $"A comma as the decimal mark near {header.NameAt(torn)}? Write {record.Cells[torn].Text}.{record.Cells[torn + 1].Text} with a point."
            : extra > 0 ? "Put cells that hold a comma in quotes."
            : "Write every comma, also those of empty cells at the end.";
        faults.Add(new RegisterFault(context.File, record.Line, torn >= 0 ? header.NameAt(torn) : string.Empty, $"The row has {record.Cells.Count} cells, the header {header.Width}.", expected));
    }

    // Two neighbours of digits only, the first of them in a column of decimal numbers: most likely one number cut by its comma.
    private int TornNumber(CsvRecord record)
    {
        for (int i = 0; i + 1 < record.Cells.Count; i++)
        {
            bool numeric = header.NameAt(i) is RegisterColumns.Aspect or RegisterColumns.Tilt or RegisterColumns.Height or RegisterColumns.Diameter or RegisterColumns.Shoot;
            if (numeric && IsDigits(record.Cells[i].Text) && IsDigits(record.Cells[i + 1].Text))
            {
                return i;
            }
        }

        return -1;
    }

    private static bool IsDigits(string text) => text.Length is > 0 and < 5 && text.All(char.IsAsciiDigit);
}

/// <summary>Words that name materials of one kind: keys and names.</summary>
internal sealed class MaterialWords
{
    private readonly Dictionary<string, string> words = new(StringComparer.Ordinal);

    internal MaterialWords(IEnumerable<(string Key, string Name)> materials)
    {
        foreach ((string key, string name) in materials)
        {
            words.TryAdd(TradeNames.Fold(key), key);
            words.TryAdd(TradeNames.Fold(name), key);
        }

        Keys = words.Values.Distinct().ToList();
    }

    internal IReadOnlyList<string> Keys { get; }

    internal string? Find(string word) => words.GetValueOrDefault(TradeNames.Fold(word));
}
