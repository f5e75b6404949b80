using System.Net;

namespace Dancerwatch.EdgeAgent.Configuration;

/// <summary>The page that shows how the machines are.</summary>
internal static class StatusPageShape
{
    private static readonly StatusPageSettings s_usual = new();

    public static StatusPageSettings Read(Section s)
    {
        StatusPageSettings page = new()
        {
            Enabled = s.Switch("enabled", "True: the page is served.", s_usual.Enabled),
            Address = s.Text(
                "address",
                "IP address of this computer that the page is served at; 0.0.0.0 for all of them. Who calls it at another than loopback must enter the token.",
                TextRule.Host,
                s_usual.Address
            ),
            Port = s.Whole("port", "TCP port of the page.", 1, 65_535, s_usual.Port),
            TokenFile = s.OptionalText(
                "tokenFile",
                "File whose first line is what a viewer must enter, 16 characters or more, relative to this file; or $CREDENTIALS_DIRECTORY/NAME for a credential that systemd hands over.",
                TextRule.Any
            ),
        };
        if (!IPAddress.TryParse(page.Address, out _))
            s.Refuse("address", "an IP address of this computer, or 0.0.0.0 for all", "Try 127.0.0.1.");
        else if (page is { Enabled: true, IsLoopback: false, TokenFile: null })
            s.Refuse(
                "tokenFile",
                "a file with a token where the page is served at another address than loopback",
                "Name one, or put address back to 127.0.0.1."
            );
        return page;
    }
}
