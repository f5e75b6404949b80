using System.Text;

namespace Dancerwatch.EdgeAgent.StatusPage;

/// <summary>An answer: everything that is sent, or a head after which events follow.</summary>
/// <param name="EventsOf">Machine whose events follow, empty for those of the line alone; null for no events.</param>
internal sealed record PageReply(int Status, string Type, byte[] Body, string? EventsOf = null)
{
    public const string Html = "text/html; charset=utf-8";
    private const string Plain = "text/plain; charset=utf-8";

    /// <summary>A further header line, or empty.</summary>
    public string Header { get; init; } = "";

    public static PageReply Text(int status, string sentence) =>
        new(status, Plain, Encoding.UTF8.GetBytes(sentence + "\n"));

    public static PageReply Events(string machine) => new(200, "text/event-stream", [], machine);

    /// <summary>Elsewhere, by GET.</summary>
    public static PageReply SeeOther(string where, string header) =>
        Text(303, where) with
        {
            Header = $"Location: {where}\r\n{header}",
        };

    /// <summary>
    /// Status line and headers. Nothing may be loaded from anywhere else, framed, or kept.
    /// </summary>
    public byte[] Head() =>
        Encoding.Latin1.GetBytes(
            $"HTTP/1.1 {Status} {Reason}\r\n"
                + $"Content-Type: {Type}\r\n"
                + (EventsOf is null ? $"Content-Length: {Body.Length}\r\n" : "")
                + "Connection: close\r\n"
                + "Cache-Control: no-store\r\n"
                + "Content-Security-Policy: default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; img-src data:; form-action 'self'; base-uri 'none'; frame-ancestors 'none'\r\n"
                + "X-Content-Type-Options: nosniff\r\n"
                + "Referrer-Policy: no-referrer\r\n"
                + Header
                + "\r\n"
        );

    private string Reason =>
        Status switch
        {
            200 => "OK",
            303 => "See Other",
            400 => "Bad Request",
            401 => "Unauthorized",
            403 => "Forbidden",
            404 => "Not Found",
            405 => "Method Not Allowed",
            _ => "Error",
        };
}
