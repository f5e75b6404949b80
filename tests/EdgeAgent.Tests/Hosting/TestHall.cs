using System.Net;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Readings;
using Dancerwatch.VirtualMachine.EtherNetIp;
using Dancerwatch.VirtualMachine.Tags;

namespace Dancerwatch.EdgeAgent.Tests.Hosting;

/// <summary>A controller with machines that stand at half fill and run, and the settings to watch them.</summary>
internal sealed class TestHall : IAsyncDisposable
{
    private readonly TagTable _table = new();
    private readonly TagCell<float>[] _gaps;

    /// <param name="name">Name of the controller, and the beginning of its machines' names.</param>
    public TestHall(string name, int machines = 1)
    {
        Name = name;
        _gaps = new TagCell<float>[machines];
        for (int i = 0; i < machines; i++)
        {
            _gaps[i] = _table.AddReal($"M{i + 1}.DancerGap");
            _gaps[i].Value = 2_050;
            _table.AddReal($"M{i + 1}.UnwindSpeed").Value = 18;
        }
        Controller = new ControllerServer(_table, new ControllerServerOptions(), TimeProvider.System);
        Controller.Start(new IPEndPoint(IPAddress.Loopback, 0));
    }

    public string Name { get; }

    public ControllerServer Controller { get; }

    public int Machines => _gaps.Length;

    /// <summary>TCP clients the controller ever had: one, while a connection is kept.</summary>
    public long Clients => Controller.Counters.ClientsEver;

    /// <summary>A machine's gap is no number any more, or is one again.</summary>
    public void Lose(int machine, bool isLost = true) =>
        _gaps[machine - 1].Value = isLost ? float.NaN : 2_050;

    public ControllerSettings Settings =>
        new()
        {
            Name = Name,
            Host = "127.0.0.1",
            Port = Controller.EndPoint.Port,
            TimeoutMilliseconds = 200,
        };

    /// <param name="number">Counted from 1.</param>
    public WatchedMachineSettings Machine(int number) =>
        new()
        {
            Name = $"{Name}-{number}",
            Line = "line-1",
            Controller = Name,
            Signals =
            [
                new SignalSource(Signal.Gap, new TagRequest($"M{number}.DancerGap", TagType.Real)),
                new SignalSource(Signal.UnwindSpeed, new TagRequest($"M{number}.UnwindSpeed", TagType.Real)),
            ],
            Machine = new MachineSettings
            {
                Fill = new FillSettings { GapAtEmpty = 600, GapAtFull = 3_500 },
                Warnings = new() { DataLost = new(0, 0, 0.1, 0) },
            },
        };

    /// <summary>Settings that watch these machines through these controllers, and publish nothing.</summary>
    public static AgentSettings Watching(
        IReadOnlyList<ControllerSettings> controllers,
        params IReadOnlyList<WatchedMachineSettings> machines
    ) =>
        new()
        {
            Site = "leafside",
            Area = "tea-hall",
            Controllers = controllers,
            Machines = machines,
        };

    /// <summary>A configuration file's text that watches some of the machines and publishes nothing.</summary>
    public string Configuration(int machines = 1) =>
        $$"""
            {
              "site": "leafside",
              "area": "tea-hall",
              "controllers": [
                { "name": "{{Name}}", "host": "127.0.0.1", "port": {{Controller.EndPoint.Port}} }
              ],
              "machines": [
            {{string.Join(",\n", Enumerable.Range(1, machines).Select(Text))}}
              ]
            }
            """;

    private string Text(int number) =>
        $$"""
            {
              "name": "{{Name}}-{{number}}",
              "line": "line-1",
              "controller": "{{Name}}",
              "signals": {
                "gap": { "tag": "M{{number}}.DancerGap", "type": "REAL" },
                "unwindSpeed": { "tag": "M{{number}}.UnwindSpeed", "type": "REAL" }
              },
              "dancer": { "gapAtEmptyCounts": 600, "gapAtFullCounts": 3500 }
            }
            """;

    public ValueTask DisposeAsync() => Controller.DisposeAsync();
}
