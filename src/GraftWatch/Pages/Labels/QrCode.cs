using System.Collections;
using System.Globalization;
using System.Text;
using QRCoder;

namespace GraftWatch.Pages.Labels;

/// <summary>A QR code (ISO/IEC 18004) as SVG: dark modules as strokes along the rows, on white whatever the page's ground is.</summary>
internal static class QrCode
{
    /// <summary>Modules of white around the code, as the standard asks.</summary>
    internal const int Quiet = 4;

    /// <summary>The modules, dark where true, without the white around them.</summary>
    /// <param name="text">What it says; level M, which bears a thumb mark of fifteen per cent.</param>
    internal static bool[][] Modules(string text)
    {
        using QRCodeData data = QRCodeGenerator.GenerateQrCode(text, QRCodeGenerator.ECCLevel.M);
        List<BitArray> matrix = data.ModuleMatrix;
        int size = matrix.Count - (2 * Quiet);
        bool[][] modules = new bool[size][];
        for (int row = 0; row < size; row++)
        {
            modules[row] = new bool[size];
            for (int column = 0; column < size; column++)
            {
                modules[row][column] = matrix[row + Quiet][column + Quiet];
            }
        }

        return modules;
    }

    /// <summary>The drawing.</summary>
    /// <param name="text">What it says.</param>
    /// <param name="name">Name for readers who do not see it, encoded for HTML.</param>
    internal static string Svg(string text, string name)
    {
        bool[][] modules = Modules(text);
        int size = modules.Length + (2 * Quiet);
        var svg = new StringBuilder();
        svg.Append(CultureInfo.InvariantCulture, $"<svg class=\"qr\" viewBox=\"0 0 {size} {size}\" role=\"img\" aria-label=\"{name}\"><rect width=\"{size}\" height=\"{size}\"/><path d=\"");
        for (int row = 0; row < modules.Length; row++)
        {
            int at = 0;
            bool isFirst = true;
            while (at < modules.Length)
            {
                int from = Array.IndexOf(modules[row], true, at);
                if (from < 0)
                {
                    break;
                }

                int to = Array.IndexOf(modules[row], false, from);
                to = to < 0 ? modules.Length : to;
                if (isFirst)
                {
                    svg.Append(CultureInfo.InvariantCulture, $"M{from + Quiet} {row + Quiet}.5h{to - from}");
                }
                else
                {
                    svg.Append(CultureInfo.InvariantCulture, $"m{from - at} 0h{to - from}");
                }

                isFirst = false;
                at = to;
            }
        }

        return svg.Append("\"/></svg>\n").ToString();
    }
}
