using System.Text;

namespace GraftWatch.Pages.Routing;

/// <summary>What a page answers; written once, after the handler ended.</summary>
internal sealed class PageAnswer
{
    private readonly Dictionary<string, string> headers = new(StringComparer.OrdinalIgnoreCase);

    private PageAnswer(int status, string? contentType, ReadOnlyMemory<byte> body)
    {
        Status = status;
        ContentType = contentType;
        Body = body;
    }

    /// <summary>Status code.</summary>
    internal int Status { get; }

    /// <summary>Media type of the body.</summary>
    internal string? ContentType { get; }

    /// <summary>The body.</summary>
    internal ReadOnlyMemory<byte> Body { get; }

    /// <summary>An HTML page.</summary>
    internal static PageAnswer Html(int status, string html) => new(status, "text/html; charset=utf-8", Encoding.UTF8.GetBytes(html));

    /// <summary>Plain text.</summary>
    internal static PageAnswer Plain(int status, string text) => new(status, "text/plain; charset=utf-8", Encoding.UTF8.GetBytes(text));

    /// <summary>A file to keep, such as a register or an archive.</summary>
    /// <param name="body">Bytes.</param>
    /// <param name="contentType">Media type.</param>
    /// <param name="fileName">Name the browser proposes; ASCII letters, digits, point and hyphen.</param>
    internal static PageAnswer File(ReadOnlyMemory<byte> body, string contentType, string fileName) =>
        new PageAnswer(StatusCodes.Status200OK, contentType, body).With("Content-Disposition", $"attachment; filename=\"{fileName}\"");

    /// <summary>Bytes shown in place, such as a calendar.</summary>
    internal static PageAnswer Bytes(ReadOnlyMemory<byte> body, string contentType) => new(StatusCodes.Status200OK, contentType, body);

    /// <summary>Nothing but a status.</summary>
    internal static PageAnswer Empty(int status) => new(status, null, default);

    /// <summary>Another page, fetched by GET (RFC 9110, 15.4.4).</summary>
    internal static PageAnswer SeeOther(string target) => Empty(StatusCodes.Status303SeeOther).With("Location", target);

    /// <summary>Adds or replaces a header.</summary>
    internal PageAnswer With(string header, string value)
    {
        headers[header] = value;
        return this;
    }

    /// <summary>Writes it.</summary>
    internal async Task WriteAsync(HttpContext http)
    {
        HttpResponse response = http.Response;
        response.StatusCode = Status;
        response.Headers.CacheControl = "no-store";
        foreach ((string name, string value) in headers)
        {
            response.Headers[name] = value;
        }

        if (ContentType is not null)
        {
            response.ContentType = ContentType;
            response.ContentLength = Body.Length;
            if (!HttpMethods.IsHead(http.Request.Method))
            {
                await response.BodyWriter.WriteAsync(Body, http.RequestAborted).ConfigureAwait(false);
            }
        }
        else if (Status != StatusCodes.Status304NotModified)
        {
            response.ContentLength = 0;
        }
    }
}
