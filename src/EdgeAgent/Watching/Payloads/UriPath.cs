using System.Text;

namespace Dancerwatch.EdgeAgent.Watching.Payloads;

/// <summary>Names of machines as a URI may have them: a CloudEvent's source is a URI reference (RFC 3986).</summary>
internal static class UriPath
{
    /// <summary>What a path holds as it is: unreserved, sub-delims, ':', '@' and the slash between.</summary>
    private const string Plain = "-._~!$&'()*+,;=:@/";

    /// <summary>The path, with every other character percent-encoded as UTF-8; the same where there is none.</summary>
    public static string Of(string path)
    {
        if (path.All(IsPlain))
            return path;
        StringBuilder encoded = new(path.Length + 16);
        foreach (byte unit in Encoding.UTF8.GetBytes(path))
        {
            if (IsPlain((char)unit))
                encoded.Append((char)unit);
            else
                encoded.Append('%').Append(unit.ToString("X2", null));
        }
        return encoded.ToString();
    }

    private static bool IsPlain(char character) =>
        char.IsAsciiLetterOrDigit(character) || Plain.Contains(character, StringComparison.Ordinal);
}
