using System.Globalization;
using System.Text.RegularExpressions;

namespace GraftWatch.Pages.People;

/// <summary>Finds a position in what somebody typed or pasted: coordinates, a geo URI (RFC 5870), or a link of a map.</summary>
internal static partial class WhereReader
{
    private const int LongestText = 2000;

    /// <summary>The position; null when there is none, or more than one reading of it.</summary>
    internal static Position? Read(string? typed)
    {
        if (string.IsNullOrWhiteSpace(typed) || typed.Length > LongestText)
        {
            return null;
        }

        string text = Uri.UnescapeDataString(typed).Trim().Replace('−', '-').Replace('\u00A0', ' ').Replace('\u202F', ' ');
        return Geo(text) ?? Named(text) ?? Compass(text) ?? Pair(text);
    }

    // geo:lat,lon[,alt];… in WGS 84; another reference system cannot be read.
    private static Position? Geo(string text)
    {
        Match geo = GeoUri().Match(text);
        return geo.Success && !OtherSystem().IsMatch(text) ? Of(Number(geo, "lat"), Number(geo, "lon"), geo.Groups["alt"].Success ? Number(geo, "alt") : null) : null;
    }

    private static Position? Named(string text)
    {
        Match latitude = LatitudeNamed().Match(text);
        Match longitude = LongitudeNamed().Match(text);
        return latitude.Success && longitude.Success ? Of(Number(latitude, "n"), Number(longitude, "n")) : null;
    }

    // Degrees with N, S, E or W, and minutes and seconds where they are given.
    private static Position? Compass(string text)
    {
        double? latitudeDeg = null;
        double? longitudeDeg = null;
        foreach (Match part in (LetterFirst().IsMatch(text) ? LetterThenDegrees() : DegreesThenLetter()).Matches(text))
        {
            double minutes = part.Groups["min"].Success ? Number(part, "min") : 0;
            double seconds = part.Groups["sec"].Success ? Number(part, "sec") : 0;
            if (minutes >= 60 || seconds >= 60)
            {
                return null;
            }

            char letter = char.ToUpperInvariant(part.Groups["letter"].Value[0]);
            double degrees = (Number(part, "deg") + (minutes / 60) + (seconds / 3600)) * (letter is 'S' or 'W' ? -1 : 1);
            if (letter is 'N' or 'S')
            {
                latitudeDeg ??= degrees;
            }
            else
            {
                longitudeDeg ??= degrees;
            }
        }

        return latitudeDeg is { } latitude && longitudeDeg is { } longitude ? Of(latitude, longitude) : null;
    }

    // Two numbers beside each other. Inside a longer text they need decimals, so that a zoom or a house number is no latitude.
    private static Position? Pair(string text)
    {
        Match alone = NumbersAlone().Match(text);
        if (alone.Success)
        {
            return Of(Number(alone, "lat"), Number(alone, "lon"));
        }

        Match within = NumbersWithin().Match(text);
        return within.Success ? Of(Number(within, "lat"), Number(within, "lon")) : null;
    }

    private static double Number(Match match, string group) =>
        double.Parse(match.Groups[group].Value.Replace(',', '.'), NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture);

    private static Position? Of(double latitudeDeg, double longitudeDeg, double? elevationM = null) =>
        Math.Abs(latitudeDeg) <= 90 && Math.Abs(longitudeDeg) <= 180 ? new Position(latitudeDeg, longitudeDeg, elevationM) : null;

    [GeneratedRegex(@"\bgeo:(?<lat>-?\d{1,2}(\.\d+)?),(?<lon>-?\d{1,3}(\.\d+)?)(,(?<alt>-?\d{1,5}(\.\d+)?))?(?![\d.])", RegexOptions.IgnoreCase)]
    private static partial Regex GeoUri();

    [GeneratedRegex(@";crs=(?!wgs84\b)", RegexOptions.IgnoreCase)]
    private static partial Regex OtherSystem();

    [GeneratedRegex(@"(?<![a-z])m?lat(itude)?\s*[=:]\s*""?(?<n>-?\d{1,2}(\.\d+)?)(?![\d.])", RegexOptions.IgnoreCase)]
    private static partial Regex LatitudeNamed();

    [GeneratedRegex(@"(?<![a-z])m?(lon(gitude)?|lng)\s*[=:]\s*""?(?<n>-?\d{1,3}(\.\d+)?)(?![\d.])", RegexOptions.IgnoreCase)]
    private static partial Regex LongitudeNamed();

    [GeneratedRegex(@"^\D*?(?<![a-z])[NSEW]\s*\d", RegexOptions.IgnoreCase)]
    private static partial Regex LetterFirst();

    [GeneratedRegex(@"(?<![\d.,])(?<deg>\d{1,3}([.,]\d+)?)\s*[°º]?\s*((?<min>\d{1,2}([.,]\d+)?)\s*['′’]\s*)?((?<sec>\d{1,2}([.,]\d+)?)\s*([""″”]|'')\s*)?(?<letter>[NSEW])(?![a-z])", RegexOptions.IgnoreCase)]
    private static partial Regex DegreesThenLetter();

    [GeneratedRegex(@"(?<![a-z])(?<letter>[NSEW])\s*(?<deg>\d{1,3}([.,]\d+)?)\s*[°º]?\s*((?<min>\d{1,2}([.,]\d+)?)\s*['′’]\s*)?((?<sec>\d{1,2}([.,]\d+)?)\s*([""″”]|''))?(?![\d.])", RegexOptions.IgnoreCase)]
    private static partial Regex LetterThenDegrees();

    [GeneratedRegex(@"^\(?\s*(?:(?<lat>-?\d{1,2}(\.\d+)?)\s*[,;\s]\s*(?<lon>-?\d{1,3}(\.\d+)?)|(?<lat>-?\d{1,2},\d+)\s*[;\s]\s*(?<lon>-?\d{1,3},\d+))\s*\)?$")]
    private static partial Regex NumbersAlone();

    [GeneratedRegex(@"(?<![\d.])(?<lat>-?\d{1,2}\.\d{2,})\s*[,;/+ ]\s*(?<lon>-?\d{1,3}\.\d{2,})(?![\d.])")]
    private static partial Regex NumbersWithin();
}

/// <summary>A place on the earth, WGS 84.</summary>
/// <param name="LatitudeDeg">North positive. [°]</param>
/// <param name="LongitudeDeg">East positive. [°]</param>
/// <param name="ElevationM">Height above the sea where it was given. [m]</param>
internal sealed record Position(double LatitudeDeg, double LongitudeDeg, double? ElevationM = null);
