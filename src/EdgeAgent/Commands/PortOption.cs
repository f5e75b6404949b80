using System.CommandLine;
using System.Globalization;
using System.Net.Sockets;

namespace Dancerwatch.EdgeAgent.Commands;

/// <summary>A port of this computer that something is to listen on; 0 for any that is free.</summary>
internal sealed class PortOption : Option<int>
{
    /// <param name="listener">What listens there, e.g. <c>the broker</c>.</param>
    /// <param name="usual">The port where none is named.</param>
    public PortOption(string name, string listener, int usual)
        : base(name)
    {
        Description = $"Port of {listener} on 127.0.0.1; 0 for any that is free.";
        HelpName = "PORT";
        DefaultValueFactory = _ => usual;
        CustomParser = result =>
        {
            string typed = result.Tokens[0].Value;
            if (ushort.TryParse(typed, CultureInfo.InvariantCulture, out ushort port))
                return port;
            result.AddError($"{name} is {typed}. Allowed: 0 to 65535; 0 takes any that is free.");
            return usual;
        };
    }

    /// <summary>Tells that a virtual hall's ports cannot be had.</summary>
    /// <returns>The exit code.</returns>
    public static int Refused(TextWriter error, int controller, int broker, SocketException why)
    {
        error.WriteLine(
            $"Port {controller} or {broker} cannot be had: {why.Message}. Name others with --controller-port and --broker-port, or 0 for any."
        );
        return ExitCodes.Unreachable;
    }
}
