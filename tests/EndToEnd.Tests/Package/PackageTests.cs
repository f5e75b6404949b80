using System.Net;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EndToEnd.Tests.Broker;
using Dancerwatch.EndToEnd.Tests.Program;
using Dancerwatch.VirtualMachine.EtherNetIp;
using Dancerwatch.VirtualMachine.Hall;

namespace Dancerwatch.EndToEnd.Tests.Package;

/// <summary>The Debian package from its installation to its removal, on a clean Debian with a systemd of its own.</summary>
public sealed class PackageTests
{
    private const string Program = "/usr/bin/dancerwatch";
    private const string Unit = "dancerwatch.service";
    private const string Data = "/var/lib/dancerwatch";
    private const string DropIn = "etc/systemd/system/dancerwatch.service.d";
    private const string NoCapability = "0000000000000000";

    [Fact]
    public async Task It_is_installed_runs_locked_up_as_its_own_user_and_leaves_nothing_but_its_data()
    {
        string package = PublishedProgram.RequirePackage();
        await using DebianRoot root = await DebianRoot.BootAsync("systemd", "libssl3");
        File.Copy(package, root.PathOf("root/dancerwatch.deb"));
        IReadOnlySet<string> clean = await root.FilesAsync();

        // Installed and at once removed, it was never there.
        await root.DoAsync("dpkg", "--install", "/root/dancerwatch.deb");
        Assert.NotEmpty(await TracesAsync(clean, root));
        await root.DoAsync("dpkg", "--purge", "dancerwatch");
        Assert.Empty(await TracesAsync(clean, root));
        Assert.Equal(2, (await root.RunAsync("getent", "passwd", "dancerwatch")).Code);

        await root.DoAsync("dpkg", "--install", "/root/dancerwatch.deb");
        Assert.Equal("disabled", (await root.RunAsync("systemctl", "is-enabled", Unit)).Said);
        Assert.Empty(await root.DoAsync("systemd-analyze", "verify", Unit));
        await root.DoAsync("systemd-analyze", "security", "--offline=yes", "--threshold=15", Unit);
        // What it brings as a configuration is an example, and a good one.
        await root.DoAsync(
            "dancerwatch",
            "check",
            "--offline",
            "--config",
            "/etc/dancerwatch/dancerwatch.jsonc"
        );

        try
        {
            await RunAsync(root);
        }
        catch (TimeoutException e)
        {
            Assert.Fail($"{e.Message}\n{await root.DoAsync("journalctl", "--no-pager", "--unit", Unit)}");
        }

        await root.DoAsync("dpkg", "--purge", "dancerwatch");
        string[] left = await TracesAsync(clean, root);
        Assert.Contains(Data, left);
        Assert.All(left, trace => Assert.StartsWith(Data, trace, StringComparison.Ordinal));
        // The data have an owner still.
        await root.DoAsync("getent", "passwd", "dancerwatch");
    }

    /// <summary>Runs the service against a virtual hall and a broker over TLS, with the key as a credential.</summary>
    private static async Task RunAsync(DebianRoot root)
    {
        await using MosquittoHall broker = new();
        await broker.StartAsync();
        PackingHall hall = new(TeaHall.Machines, TimeProvider.System);
        await using ControllerServer controller = hall.Controller;
        controller.Start(new IPEndPoint(IPAddress.Loopback, 0));
        using CancellationTokenSource stop = new();
        Task packing = hall.RunAsync(stop.Token);
        await ConfigureAsync(root, controller.EndPoint.Port, broker.SettingsFor("dancerwatch"));
        await using ToolProcess scada = broker.Subscribe();

        await root.DoAsync("systemctl", "daemon-reload");
        await root.DoAsync("systemctl", "enable", "--now", Unit);
        await scada.LineAsync(line =>
            line.Contains("/tea-1/state/fill ", StringComparison.Ordinal)
            && line.Contains("\"quality\":\"good\"", StringComparison.Ordinal)
        );

        int process = root.ProcessOf(Program);
        string owner = (await root.DoAsync("id", "--user", "dancerwatch")).Trim();
        Assert.NotEqual("0", owner);
        Assert.Equal($"{owner} {owner} {owner} {owner}", ProcessTable.Status(process, "Uid"));
        Assert.Equal("1", ProcessTable.Status(process, "NoNewPrivs"));
        Assert.Equal("2", ProcessTable.Status(process, "Seccomp")); // a filter is on
        foreach (string set in new[] { "CapInh", "CapPrm", "CapEff", "CapBnd", "CapAmb" })
            Assert.Equal(NoCapability, ProcessTable.Status(process, set));
        Assert.Empty(ProcessSockets.Listening(process));

        // The same configuration again: it is told that there is nothing to change, and goes on.
        await root.DoAsync("systemctl", "reload", Unit);
        await root.DoAsync("systemctl", "is-active", Unit);
        Assert.Equal(process, root.ProcessOf(Program));

        // An upgrade goes on with the new program.
        await root.DoAsync("dpkg", "--install", "/root/dancerwatch.deb");
        await root.DoAsync("systemctl", "is-active", Unit);
        Assert.NotEqual(process, root.ProcessOf(Program));

        await root.DoAsync("systemctl", "stop", Unit);
        await scada.LineAsync(line =>
            line.Contains("/agents/dancerwatch-tea-hall/status ", StringComparison.Ordinal)
            && line.Contains("\"offline\"", StringComparison.Ordinal)
        );
        Assert.Equal(
            "success",
            await root.DoAsync("systemctl", "show", "--value", "--property=Result", Unit)
        );
        Unconfigure(root);
        await stop.CancelAsync();
        await packing;
    }

    private static async Task ConfigureAsync(DebianRoot root, int controllerPort, MqttSettings broker)
    {
        MqttTlsSettings tls = broker.Tls!;
        File.Copy(tls.CaFile!, root.PathOf("etc/dancerwatch/ca.pem"));
        File.Copy(tls.ClientCertificateFile!, root.PathOf("etc/dancerwatch/client.pem"));
        // Root's alone: the service can only come by it as a credential.
        File.Copy(tls.ClientKeyFile!, root.PathOf("etc/dancerwatch/client.key"));
        await root.DoAsync("chmod", "0400", "/etc/dancerwatch/client.key");
        Directory.CreateDirectory(root.PathOf(DropIn));
        File.WriteAllText(
            root.PathOf($"{DropIn}/credentials.conf"),
            "[Service]\nLoadCredential=client-key:/etc/dancerwatch/client.key\n"
        );
        MqttTlsSettings inside = new()
        {
            CaFile = "ca.pem",
            ClientCertificateFile = "client.pem",
            ClientKeyFile = "$CREDENTIALS_DIRECTORY/client-key",
        };
        File.WriteAllText(
            root.PathOf("etc/dancerwatch/dancerwatch.jsonc"),
            TeaHallConfiguration.Text(controllerPort, broker with { Tls = inside })
        );
    }

    /// <summary>Takes away what the package has not brought.</summary>
    private static void Unconfigure(DebianRoot root)
    {
        foreach (string file in new[] { "ca.pem", "client.pem", "client.key" })
            File.Delete(root.PathOf($"etc/dancerwatch/{file}"));
        Directory.Delete(root.PathOf(DropIn), recursive: true);
    }

    /// <summary>What is there that was not, but for the records the system itself keeps.</summary>
    private static async Task<string[]> TracesAsync(IReadOnlySet<string> before, DebianRoot root) =>
        [
            .. (await root.FilesAsync())
                .Except(before)
                .Where(file => !s_records.Any(record => file.StartsWith(record, StringComparison.Ordinal)))
                .Order(StringComparer.Ordinal),
        ];

    private static readonly string[] s_records =
    [
        "/var/lib/dpkg/",
        "/var/log/",
        "/etc/passwd-",
        "/etc/group-",
        "/etc/shadow-",
        "/etc/gshadow-",
        "/etc/.pwd.lock",
    ];
}
