using System.Net;
using System.Security.Cryptography;
using System.Text;

namespace Dancerwatch.EdgeAgent.StatusPage;

/// <summary>
/// Who may look. Without a token: who calls loopback by a loopback name, so that a foreign page cannot have a browser read
/// ours under a name of its own. With a token: who has entered it, or sends it as a bearer (RFC 6750).
/// </summary>
internal sealed class PageGate
{
    public const int FewestCharacters = 16;
    private const string CookieName = "dancerwatch";
    private const string Bearer = "Bearer ";

    private readonly byte[]? _secret;

    /// <param name="token">What must be entered; null for none.</param>
    public PageGate(string? token) => _secret = token is null ? null : Digest(token);

    public bool NeedsToken => _secret is not null;

    public bool LetsIn(PageRequest request)
    {
        if (_secret is null)
            return IsLoopbackName(request.Host);
        if (request.Authorization.StartsWith(Bearer, StringComparison.Ordinal))
            return IsToken(request.Authorization[Bearer.Length..]);
        foreach (string cookie in request.Cookie.Split(';', StringSplitOptions.TrimEntries))
        {
            if (
                cookie.StartsWith($"{CookieName}=", StringComparison.Ordinal)
                && Matches(Encoding.ASCII.GetBytes(cookie[(CookieName.Length + 1)..]), Pass(_secret))
            )
                return true;
        }
        return false;
    }

    public bool IsToken(string entered) => _secret is not null && Matches(Digest(entered), _secret);

    /// <summary>Header that lets a browser in from now on; it ends with the browser. It holds no token.</summary>
    public string PassHeader() =>
        $"Set-Cookie: {CookieName}={Encoding.ASCII.GetString(Pass(_secret!))}; HttpOnly; SameSite=Strict; Path=/\r\n";

    private static bool IsLoopbackName(string host)
    {
        if (!Uri.TryCreate($"http://{host}/", UriKind.Absolute, out Uri? uri))
            return false;
        return uri.Host == "localhost"
            || (
                IPAddress.TryParse(uri.Host.Trim('[', ']'), out IPAddress? address)
                && IPAddress.IsLoopback(address)
            );
    }

    private static bool Matches(ReadOnlySpan<byte> one, ReadOnlySpan<byte> other) =>
        CryptographicOperations.FixedTimeEquals(one, other);

    private static byte[] Digest(string text) => SHA256.HashData(Encoding.UTF8.GetBytes(text));

    // Another digest of the digest: what a browser keeps does not give away what was entered.
    private static byte[] Pass(byte[] secret) =>
        Encoding.ASCII.GetBytes(Convert.ToHexString(SHA256.HashData(secret)));
}
