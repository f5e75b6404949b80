using System.CommandLine;
using System.Net;

namespace Dancerwatch.Fleet.Commands;

/// <summary>An IP address of this computer; loopback where none is named.</summary>
internal sealed class AddressOption : Option<IPAddress>
{
    public AddressOption(string name, string description)
        : base(name)
    {
        Description = description;
        HelpName = "IP";
        DefaultValueFactory = _ => IPAddress.Loopback;
        CustomParser = result =>
        {
            string typed = result.Tokens[0].Value;
            if (IPAddress.TryParse(typed, out IPAddress? address))
                return address;
            result.AddError(
                $"{name} is {typed}. It must be an IP address of this computer, e.g. 192.0.2.21."
            );
            return IPAddress.Loopback;
        };
    }
}
