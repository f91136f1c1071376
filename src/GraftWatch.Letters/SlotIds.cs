using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using GraftWatch.Letters.Links;
using GraftWatch.Rounds.Ports;

namespace GraftWatch.Letters;

/// <summary>Names for slots that are the same on every machine and say nothing about the grower.</summary>
internal static class SlotIds
{
    /// <summary>Thirty hexadecimal digits, stable for the slot.</summary>
    public static string Of(LetterSlot slot, string sender)
    {
        string key = string.Create(
            CultureInfo.InvariantCulture,
            $"graftwatch slot 1\n{slot.Grower}\n{slot.Date.ToYearMonthDayNumber()}\n{(int)slot.Kind}\n{slot.Ordinal}\n{slot.Channel}\n{sender}");
        return Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(key)).AsSpan(0, 15));
    }
}
