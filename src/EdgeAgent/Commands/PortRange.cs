using System.CommandLine.Parsing;

namespace Dancerwatch.EdgeAgent.Commands;

/// <summary>What a port option may be.</summary>
internal static class PortRange
{
    public static void Check(OptionResult option)
    {
        int port = option.GetValueOrDefault<int>();
        if (port is < 0 or > 65_535)
            option.AddError(
                $"{option.IdentifierToken?.Value} is {port}. Allowed: 0 to 65535; 0 takes any that is free."
            );
    }
}
