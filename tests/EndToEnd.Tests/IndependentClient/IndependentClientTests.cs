using System.ComponentModel;
using System.Diagnostics;
using System.Globalization;
using System.Net;
using System.Text.Json.Nodes;
using Dancerwatch.VirtualMachine.EtherNetIp;
using Dancerwatch.VirtualMachine.Tags;

namespace Dancerwatch.EndToEnd.Tests.IndependentClient;

/// <summary>
/// The virtual controller read by an EtherNet/IP client that is not ours (npm, pinned beside this file): what both agree
/// on is not our own reading of the specification alone.
/// </summary>
public sealed class IndependentClientTests : IAsyncLifetime
{
    private static readonly TimeSpan s_patience = TimeSpan.FromSeconds(30);
    private readonly ControllerServer _server;

    public IndependentClientTests()
    {
        TagTable table = new();
        table.AddInt("Tea1.DancerGap").Value = 2048;
        table.AddReal("Tea1.UnwindSpeed").Value = 12.5f;
        table.AddBool("Tea1.Running").Value = true;
        table.AddBool("Tea1.BrakeOn").Value = false;
        table.AddBool("Tea1.FullSideTrip").Value = true;
        table.AddDint("Tea1.Product").Value = -7;
        table.AddString("Tea1.Recipe").Value = "Assam 100";
        table.AddInt("Tea2.DancerGap").Value = -1;
        table.AddBool("Flag").Value = true;
        table.AddSint("Small").Value = -5;
        table.AddLint("Huge").Value = 1L << 40;
        table.AddReal("Single").Value = -0.125f;
        table.AddLreal("Double").Value = 1.0 / 3.0;
        table.AddString("Greeting").Value = "Ostfriesen";
        table.AddInt("Status").Bit(5).Value = true;
        table.AddDint("Program:Main.Counter").Value = 99;
        TagArray<bool> flags = table.AddBools("Flags", 40);
        (flags[3], flags[31]) = (true, true);
        TagArray<int> weights = table.AddDints("Weights", 300);
        for (int i = 0; i < weights.Length; i++)
            weights[i] = i * i;
        _server = new(table, new ControllerServerOptions(), TimeProvider.System);
    }

    public ValueTask InitializeAsync()
    {
        _server.Start(new IPEndPoint(IPAddress.Loopback, 0));
        return default;
    }

    public ValueTask DisposeAsync() => _server.DisposeAsync();

    [Theory]
    [InlineData("connected")]
    [InlineData("unconnected")]
    public async Task It_reads_every_type_alone_and_in_packets(string messaging)
    {
        (string Tag, string Json, string Type)[] expected =
        [
            ("Tea1.DancerGap", "2048", "INT"),
            ("Tea2.DancerGap", "-1", "INT"),
            ("Tea1.UnwindSpeed", "12.5", "REAL"),
            ("Tea1.Running", "true", "BOOL"),
            ("Tea1.BrakeOn", "false", "BOOL"),
            ("Tea1.Product", "-7", "DINT"),
            ("Tea1.Recipe", "\"Assam 100\"", "STRUCT"),
            ("Flag", "true", "BOOL"),
            ("Small", "-5", "SINT"),
            ("Huge", "\"1099511627776\"", "LINT"),
            ("Single", "-0.125", "REAL"),
            ("Double", "0.3333333333333333", "LREAL"),
            ("Greeting", "\"Ostfriesen\"", "STRUCT"),
            ("Status.5", "true", "INT"),
            ("Status.4", "false", "INT"),
            ("Program:Main.Counter", "99", "DINT"),
            ("Weights[17]", "289", "DINT"),
            ("Weights*50", $"[{string.Join(',', Enumerable.Range(0, 50).Select(i => i * i))}]", "DINT"),
        ];

        JsonNode result = await Read(messaging, [.. expected.Select(tag => tag.Tag), "Missing"]);

        foreach ((string tag, string json, string type) in expected)
        {
            Assert.Equal((tag, json), (tag, result["tags"]![tag]?.ToJsonString()));
            Assert.Equal((tag, json), (tag, result["packed"]![tag]?.ToJsonString()));
            Assert.Equal((tag, type), (tag, (string?)result["types"]![tag]));
        }
        Assert.Equal("""{"Missing":4}""", result["errors"]!.ToJsonString());
        Assert.Equal(messaging == "connected" ? 1 : 0, _server.Counters.RequestsOf(0x54));
        Assert.Equal(messaging == "connected", _server.Counters.UnconnectedSends == 0);
        Assert.Equal((0, 0), (_server.Counters.Malformed, _server.Counters.RefusedWrites));
    }

    [Theory]
    [InlineData("connected")]
    [InlineData("unconnected")]
    public async Task It_reads_an_array_larger_than_a_reply_in_fragments(string messaging)
    {
        JsonNode result = await Read(messaging, ["Weights*300"]);

        Assert.Equal(
            Enumerable.Range(0, 300).Select(i => i * i),
            result["tags"]!["Weights*300"]!.AsArray().GetValues<int>()
        );
        Assert.NotEqual(0, _server.Counters.RequestsOf(0x52));
    }

    [Fact]
    public async Task It_browses_tags_and_programs_and_decodes_structures_by_their_templates()
    {
        JsonNode result = await Read("connected", ["Tea1", "Flags"]);

        string[] browsed = [.. result["browsed"]!.AsArray().GetValues<string>()];
        foreach (
            string name in (string[])
                ["Tea1", "Tea2", "Flag", "Weights", "Program:Main", "Program:Main.Counter"]
        )
            Assert.Contains(name, browsed);
        Assert.Equal("Virtual packaging controller", (string?)result["product"]);
        JsonNode tea = result["tags"]!["Tea1"]!;
        Assert.Equal(2048, (int)tea["DancerGap"]!);
        Assert.Equal(12.5, (double)tea["UnwindSpeed"]!);
        Assert.Equal(
            (true, false, true),
            ((bool)tea["Running"]!, (bool)tea["BrakeOn"]!, (bool)tea["FullSideTrip"]!)
        );
        Assert.Equal(-7, (int)tea["Product"]!);
        Assert.Equal("Assam 100", (string?)tea["Recipe"]);
        Assert.Equal(
            Enumerable.Range(0, 32).Select(i => i is 3 or 31),
            result["tags"]!["Flags"]!.AsArray().GetValues<bool>()
        );
    }

    private async Task<JsonNode> Read(string messaging, string[] tags)
    {
        string folder = Folder();
        Assert.SkipUnless(
            Directory.Exists(Path.Combine(folder, "node_modules", "st-ethernet-ip")),
            "The independent client is not installed: run 'npm ci' in tests/EndToEnd.Tests/IndependentClient."
        );
        string port = _server.EndPoint.Port.ToString(CultureInfo.InvariantCulture);
        using Process? node = Start(folder, ["read.js", "127.0.0.1", port, messaging, .. tags]);
        Assert.SkipUnless(node is not null, "node is not installed.");

        using CancellationTokenSource patience = new(s_patience);
        Task<string> output = node.StandardOutput.ReadToEndAsync(patience.Token);
        Task<string> error = node.StandardError.ReadToEndAsync(patience.Token);
        try
        {
            await node.WaitForExitAsync(patience.Token);
        }
        finally
        {
            if (!node.HasExited)
                node.Kill();
        }
        Assert.True(node.ExitCode == 0, $"The client failed: {await error}");
        return JsonNode.Parse((await output).Trim().Split('\n')[^1])!;
    }

    private static Process? Start(string folder, string[] arguments)
    {
        ProcessStartInfo start = new("node", arguments)
        {
            WorkingDirectory = folder,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
        };
        try
        {
            return Process.Start(start);
        }
        catch (Win32Exception)
        {
            return null; // no such program
        }
    }

    private static string Folder()
    {
        DirectoryInfo? at = new(AppContext.BaseDirectory);
        while (at is not null && !File.Exists(Path.Combine(at.FullName, "Dancerwatch.slnx")))
            at = at.Parent;
        Assert.NotNull(at);
        return Path.Combine(at.FullName, "tests", "EndToEnd.Tests", "IndependentClient");
    }
}
