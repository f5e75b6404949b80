using System.Text;

namespace Dancerwatch.EdgeAgent.StatusPage;

/// <summary>
/// A request as far as the page looks at it (HTTP/1.1, RFC 9112): method, path, one query, three headers and a short body.
/// Anything larger or broken is refused; nothing in it is trusted.
/// </summary>
internal sealed record PageRequest
{
    private const int MostBytes = 8_192;

    /// <summary>A body holds a token and nothing else.</summary>
    private const int MostBodyBytes = 1_024;

    public required string Method { get; init; }

    /// <summary>Decoded, without the query.</summary>
    public required string Path { get; init; }

    /// <summary>What follows the question mark, decoded; empty for none.</summary>
    public required string Query { get; init; }
    public string Host { get; private init; } = "";
    public string Cookie { get; private init; } = "";
    public string Authorization { get; private init; } = "";
    public string Body { get; private init; } = "";

    /// <exception cref="InvalidDataException">It is no request, or too large.</exception>
    /// <returns>Null where the caller went away before a whole one came.</returns>
    public static async Task<PageRequest?> ReadAsync(Stream stream, CancellationToken cancellation)
    {
        byte[] buffer = new byte[MostBytes];
        int count = 0;
        int head;
        while ((head = buffer.AsSpan(0, count).IndexOf("\r\n\r\n"u8)) < 0)
        {
            if (count == buffer.Length)
                throw new InvalidDataException("too large");
            int read = await stream.ReadAsync(buffer.AsMemory(count), cancellation);
            if (read == 0)
                return null;
            count += read;
        }
        PageRequest request = Parse(Encoding.Latin1.GetString(buffer, 0, head), out int length);
        int body = head + 4;
        if (length is < 0 or > MostBodyBytes || body + length > buffer.Length)
            throw new InvalidDataException("too large");
        while (count < body + length)
        {
            int read = await stream.ReadAsync(buffer.AsMemory(count), cancellation);
            if (read == 0)
                return null;
            count += read;
        }
        return request with { Body = Encoding.UTF8.GetString(buffer, body, length) };
    }

    private static PageRequest Parse(string head, out int length)
    {
        string[] lines = head.Split("\r\n");
        string[] first = lines[0].Split(' ');
        if (first is not [{ Length: > 0 }, ['/', ..] target, ['H', 'T', 'T', 'P', '/', '1', '.', _]])
            throw new InvalidDataException("no request");
        int query = target.IndexOf('?', StringComparison.Ordinal);
        PageRequest request = new()
        {
            Method = first[0],
            Path = Uri.UnescapeDataString(query < 0 ? target : target[..query]),
            Query = query < 0 ? "" : Uri.UnescapeDataString(target[(query + 1)..]),
        };
        length = 0;
        foreach (string line in lines.AsSpan(1))
        {
            int colon = line.IndexOf(':', StringComparison.Ordinal);
            if (colon <= 0)
                throw new InvalidDataException("no header");
            string value = line[(colon + 1)..].Trim();
            switch (line[..colon].ToUpperInvariant())
            {
                case "HOST":
                    request = request with { Host = value };
                    break;
                case "COOKIE":
                    request = request with { Cookie = value };
                    break;
                case "AUTHORIZATION":
                    request = request with { Authorization = value };
                    break;
                case "CONTENT-LENGTH":
                    if (!int.TryParse(value, out length))
                        throw new InvalidDataException("no length");
                    break;
                case "TRANSFER-ENCODING":
                    throw new InvalidDataException("no length");
                default:
                    break;
            }
        }
        return request;
    }
}
