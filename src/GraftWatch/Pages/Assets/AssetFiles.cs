using System.Security.Cryptography;

namespace GraftWatch.Pages.Assets;

/// <summary>Files of our own that pages refer to. Their address carries their hash, so browsers may keep them for ever.</summary>
internal static class AssetFiles
{
    /// <summary>The stylesheet.</summary>
    internal static AssetFile Style { get; } = AssetFile.Load("site.css", "text/css; charset=utf-8");

    /// <summary>Comfort for who has script; nothing needs it.</summary>
    internal static AssetFile Script { get; } = AssetFile.Load("site.js", "text/javascript; charset=utf-8");

    /// <summary>The mark in the browser's tab.</summary>
    internal static AssetFile Icon { get; } = AssetFile.Load("icon.svg", "image/svg+xml");

    /// <summary>Answers their addresses.</summary>
    internal static void Map(IEndpointRouteBuilder endpoints)
    {
        foreach (AssetFile file in new[] { Style, Script, Icon })
        {
            endpoints.MapMethods(file.Path, [HttpMethods.Get, HttpMethods.Head], file.WriteAsync);
        }
    }
}

/// <summary>One file.</summary>
internal sealed class AssetFile
{
    private readonly byte[] bytes;
    private readonly string contentType;

    private AssetFile(string path, byte[] bytes, string contentType)
    {
        Path = path;
        this.bytes = bytes;
        this.contentType = contentType;
    }

    /// <summary>Path below the site.</summary>
    internal string Path { get; }

    internal static AssetFile Load(string name, string contentType)
    {
        using Stream stream = typeof(AssetFile).Assembly.GetManifestResourceStream("assets/" + name)!;
        byte[] bytes = new byte[stream.Length];
        stream.ReadExactly(bytes);
        string hash = Convert.ToHexStringLower(SHA256.HashData(bytes).AsSpan(0, 8));
        return new AssetFile($"/assets/{hash}-{name}", bytes, contentType);
    }

    internal async Task WriteAsync(HttpContext http)
    {
        http.Response.ContentType = contentType;
        http.Response.ContentLength = bytes.Length;
        http.Response.Headers.CacheControl = "public, max-age=31536000, immutable";
        if (!HttpMethods.IsHead(http.Request.Method))
        {
            await http.Response.BodyWriter.WriteAsync(bytes, http.RequestAborted).ConfigureAwait(false);
        }
    }
}
