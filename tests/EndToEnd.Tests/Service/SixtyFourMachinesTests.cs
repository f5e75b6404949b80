using System.Globalization;
using Dancerwatch.EdgeAgent.Tests.Hosting;
using Dancerwatch.EdgeAgent.Tests.Hosting.Service;
using Dancerwatch.EndToEnd.Tests.Outbox;

namespace Dancerwatch.EndToEnd.Tests.Service;

/// <summary>The daemon as a process of its own, 64 machines from one template on eight controllers; machines come and go.</summary>
public sealed class SixtyFourMachinesTests : IAsyncDisposable
{
    private const int Controllers = 8;
    private const int MachinesEach = 8;

    // One place more than is watched at first.
    private readonly TestHall[] _halls =
    [
        .. Enumerable.Range(0, Controllers).Select(i => new TestHall($"c{i}", MachinesEach + 1)),
    ];
    private readonly string _config = Path.GetTempFileName();

    public async ValueTask DisposeAsync()
    {
        File.Delete(_config);
        foreach (TestHall hall in _halls)
            await hall.DisposeAsync();
    }

    [Fact]
    public async Task Machines_are_put_in_and_taken_out_while_the_others_go_on_without_a_poll_missed()
    {
        List<(int Hall, int Place)> machines =
        [
            .. Enumerable
                .Range(0, Controllers * MachinesEach)
                .Select(i => (i / MachinesEach, (i % MachinesEach) + 1)),
        ];
        await WriteAsync(machines);
        using FakeManager manager = new();
        await using AgentProcess agent = AgentProcess.Start(_config, $"NOTIFY_SOCKET={manager.Address}");
        await manager.HeardAsync("STATUS=Machines: 64; all controllers read; nothing is published");
        int told = agent.Log.Count; // starting may take a busy computer longer than a poll
        long[] before = [.. _halls.Select(hall => hall.Clients)];

        // One more on the first controller, noticed by its file.
        await WriteAsync([.. machines, (0, MachinesEach + 1)]);
        await manager.HeardAsync("STATUS=Machines: 65; all controllers read; nothing is published");

        // One fewer on the second, by a signal.
        await WriteAsync([.. machines.Where(machine => machine != (1, 3)), (0, MachinesEach + 1)]);
        await agent.SendAsync("HUP");
        await agent.LogsAsync("machines removed: c1-3; controllers connected anew: c1");
        await Eventually.IsTrueAsync(() =>
            _halls[0].Controller.Counters.Clients == 1 && _halls[1].Controller.Counters.Clients == 1
        );

        // The new tags are read over a second connection that stood before the first was closed; nobody else was touched.
        long[] clients = [.. _halls.Select(hall => hall.Clients)];
        Assert.Equal(before[0] + 1, clients[0]);
        Assert.Equal(before[1] + 1, clients[1]);
        Assert.Equal(before[2..], clients[2..]);
        Assert.DoesNotContain(
            agent.Log.Skip(told),
            line =>
                line.Contains("were missed", StringComparison.Ordinal)
                || line.Contains("closed the connection", StringComparison.Ordinal)
                || line.Contains("data-lost", StringComparison.Ordinal)
        );
        Assert.Equal(0, await agent.StopAsync());
    }

    // A second a poll: what else the computer does is not to be taken for a poll that the change of machines cost.
    private Task WriteAsync(IReadOnlyList<(int Hall, int Place)> machines) =>
        File.WriteAllTextAsync(
            _config,
            string.Create(
                CultureInfo.InvariantCulture,
                $$"""
                {
                  "site": "leafside",
                  "area": "tea-works",
                  "controllers": [
                {{string.Join(
                    ",\n",
                    _halls.Select(hall =>
                        $"    {{ \"name\": \"{hall.Name}\", \"host\": \"127.0.0.1\", \"port\": {hall.Controller.EndPoint.Port}, \"pollMilliseconds\": 1000, \"timeoutMilliseconds\": 5000 }}"
                    )
                )}}
                  ],
                  "templates": {
                    "tea": {
                      "line": "line-1",
                      "signals": {
                        "gap": { "tag": "M{number}.DancerGap", "type": "REAL" },
                        "unwindSpeed": { "tag": "M{number}.UnwindSpeed", "type": "REAL" }
                      },
                      "dancer": { "gapAtEmptyCounts": 600, "gapAtFullCounts": 3500 }
                    }
                  },
                  "machines": [
                {{string.Join(
                    ",\n",
                    machines.Select(machine =>
                        $"    {{ \"name\": \"c{machine.Hall}-{machine.Place}\", \"template\": \"tea\", \"controller\": \"c{machine.Hall}\" }}"
                    )
                )}}
                  ]
                }
                """
            ),
            TestContext.Current.CancellationToken
        );
}
