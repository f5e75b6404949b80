using System.Diagnostics;
using System.Globalization;
using System.Net;
using Dancerwatch.EndToEnd.Tests;

namespace Dancerwatch.Fleet.Tests.Plant;

/// <summary>
/// A plant's network in namespaces of Linux: one for what all share (a switch, with database, broker and controllers at an
/// address each), one for each host, joined by cables. Takes root; skipped where we are not, or where the kernel has no such
/// cables.
/// </summary>
internal sealed class PlantNetwork : IDisposable
{
    /// <summary>Nobody has it: what is sent there is lost without a word.</summary>
    private const string Nobody = "02:00:00:00:00:01";

    private readonly string _shared;
    private readonly List<string> _names = [];

    private PlantNetwork()
    {
        _shared = $"dwf{Environment.ProcessId}";
        Add(_shared);
        Ip("-n", _shared, "link", "add", "switch", "type", "bridge");
        Ip("-n", _shared, "link", "set", "switch", "up");
        foreach (IPAddress address in new[] { Database, Broker, Controllers })
            Ip("-n", _shared, "addr", "add", $"{address}/24", "dev", "switch");
    }

    // 198.18.0.0/15 is for tests of networks (RFC 2544).
    public static IPAddress Database { get; } = IPAddress.Parse("198.19.77.5");

    public static IPAddress Broker { get; } = IPAddress.Parse("198.19.77.6");

    public static IPAddress Controllers { get; } = IPAddress.Parse("198.19.77.7");

    /// <summary>Address of a host, by its number from 1.</summary>
    public static IPAddress Host(int number) => IPAddress.Parse($"198.19.77.{20 + number}");

    /// <summary>The network with so many hosts; skips the test where it cannot be had.</summary>
    public static PlantNetwork Require(int hosts)
    {
        ToolProcess.Require("ip");
        Assert.SkipUnless(Environment.UserName == "root", "network namespaces take root");
        PlantNetwork network;
        try
        {
            network = new PlantNetwork();
        }
        catch (InvalidOperationException e)
        {
            Assert.Skip($"no network namespaces with a switch can be made here: {e.Message}");
            throw;
        }
        for (int number = 1; number <= hosts; number++)
            network.AddHost(number);
        return network;
    }

    /// <summary>What runs a program where all is that is shared.</summary>
    public string[] Shared => ["ip", "netns", "exec", _shared];

    /// <summary>What runs a program on a host.</summary>
    public string[] At(int host) => ["ip", "netns", "exec", NameOf(host)];

    /// <summary>From now on nothing comes through between two hosts, either way.</summary>
    public void Cut(int one, int other)
    {
        Lose(one, Host(other));
        Lose(other, Host(one));
    }

    /// <summary>Nothing of what a host sends to an address arrives.</summary>
    public void Lose(int host, IPAddress to) =>
        Ip(
            "-n",
            NameOf(host),
            "neigh",
            "replace",
            $"{to}",
            "lladdr",
            Nobody,
            "dev",
            "eth0",
            "nud",
            "permanent"
        );

    public void Join(int one, int other)
    {
        Find(one, Host(other));
        Find(other, Host(one));
    }

    public void Find(int host, IPAddress to) =>
        Ip("-n", NameOf(host), "neigh", "del", $"{to}", "dev", "eth0");

    public void Dispose()
    {
        foreach (string name in _names)
            Ip("netns", "del", name);
    }

    private void AddHost(int number)
    {
        string name = NameOf(number);
        string port = string.Create(CultureInfo.InvariantCulture, $"port{number}");
        Add(name);
        Ip("-n", _shared, "link", "add", port, "type", "veth", "peer", "name", "eth0", "netns", name);
        Ip("-n", _shared, "link", "set", port, "master", "switch", "up");
        Ip("-n", name, "addr", "add", $"{Host(number)}/24", "dev", "eth0");
        Ip("-n", name, "link", "set", "eth0", "up");
    }

    private void Add(string name)
    {
        Ip("netns", "add", name);
        _names.Add(name);
        Ip("-n", name, "link", "set", "lo", "up");
    }

    private string NameOf(int host) => string.Create(CultureInfo.InvariantCulture, $"{_shared}h{host}");

    private static void Ip(params string[] arguments)
    {
        using Process ip = Process.Start(
            new ProcessStartInfo("ip", arguments) { RedirectStandardError = true }
        )!;
        string trouble = ip.StandardError.ReadToEnd();
        ip.WaitForExit();
        if (ip.ExitCode != 0)
            throw new InvalidOperationException($"ip {string.Join(' ', arguments)}: {trouble.Trim()}");
    }
}
