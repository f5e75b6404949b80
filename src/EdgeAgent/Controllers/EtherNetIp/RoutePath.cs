using System.Globalization;

namespace Dancerwatch.EdgeAgent.Controllers.EtherNetIp;

/// <summary>
/// The way from the port that is connected to, to the processor: pairs of port (1 to 14) and link, where the link is a
/// slot or node number (0 to 255) or an address. <c>1,0</c> is the processor in slot 0 of the same chassis.
/// </summary>
internal static class RoutePath
{
    private const int ExtendedLink = 0x10;

    /// <param name="text">E.g. <c>1,0</c>, <c>1,3,2,192.0.2.20,1,0</c>; empty for none.</param>
    /// <param name="path">Padded port segments.</param>
    /// <param name="problem">What is wrong and what to put instead; null where nothing is.</param>
    public static bool TryParse(string text, out byte[] path, out string? problem)
    {
        path = [];
        problem = null;
        if (string.IsNullOrWhiteSpace(text))
            return true;
        string[] parts = text.Split(',', StringSplitOptions.TrimEntries);
        ByteBuilder builder = new();
        if (parts.Length % 2 != 0)
            problem = $"has {parts.Length} parts; it needs pairs of port and link";
        for (int i = 0; i + 1 < parts.Length && problem is null; i += 2)
            problem = AppendHop(builder, parts[i], parts[i + 1]);
        if (problem is not null)
        {
            problem = $"route '{text}' {problem}. Try '1,0' for the processor in slot 0, or '' for none.";
            return false;
        }
        path = builder.ToArray();
        return true;
    }

    private static string? AppendHop(ByteBuilder builder, string port, string link)
    {
        if (!int.TryParse(port, NumberStyles.None, CultureInfo.InvariantCulture, out int number))
            return $"names port '{port}', which is no number";
        if (number is < 1 or > 14)
            return $"names port {number}; ports are 1 to 14";
        if (int.TryParse(link, NumberStyles.None, CultureInfo.InvariantCulture, out int node))
        {
            if (node > byte.MaxValue)
                return $"names link {node}; numbers are 0 to 255";
            builder.Byte(number).Byte(node);
            return null;
        }
        if (!System.Net.IPAddress.TryParse(link, out _))
            return $"names link '{link}', which is neither a number nor an address";
        builder.Byte(ExtendedLink | number).Byte(link.Length).Ascii(link).PadToEven();
        return null;
    }
}
