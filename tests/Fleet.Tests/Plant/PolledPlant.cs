using System.Globalization;
using System.Net;
using Dancerwatch.EndToEnd.Tests;

namespace Dancerwatch.Fleet.Tests.Plant;

/// <summary>Virtual machines behind controllers in a process of their own, and who polled them as they saw it.</summary>
internal sealed class PolledPlant : IAsyncDisposable
{
    public const int FirstPort = 44_818;

    private readonly ToolProcess _process;
    private readonly string _polls;

    public PolledPlant(PlantNetwork network, string directory, int machines)
    {
        _polls = Path.Combine(directory, "polls.csv");
        _process = FleetProgram.Start(
            network.Shared,
            "simulate",
            "--machines",
            $"{machines}",
            "--address",
            $"{PlantNetwork.Controllers}",
            "--first-port",
            $"{FirstPort}",
            "--broker",
            $"{PlantNetwork.Broker}:1883",
            "--restless-seconds",
            "6",
            "--write-config",
            Path.Combine(directory, "plant.jsonc"),
            "--polls",
            _polls
        );
    }

    public Task ServesAsync() =>
        _process.LineAsync(line => line.Contains("controllers at", StringComparison.Ordinal));

    /// <summary>Each host's turns at each controller, in order.</summary>
    public IReadOnlyList<Turn> Turns() =>
        [
            .. Rows("turn")
                .Select(row => new Turn(
                    row[1],
                    HostOf(row[2]),
                    TimeOf(row[3]),
                    TimeOf(row[4]),
                    long.Parse(row[5], CultureInfo.InvariantCulture)
                )),
        ];

    /// <summary>Who read each controller last.</summary>
    public IReadOnlyList<Turn> Latest() =>
        [.. Turns().GroupBy(turn => turn.Controller).Select(turns => turns.Last())];

    /// <summary>Controllers that were polled within the last two seconds, by whom.</summary>
    public IEnumerable<Turn> Reading()
    {
        DateTimeOffset now = TimeProvider.System.GetUtcNow();
        return Latest().Where(turn => now - turn.Last < TimeSpan.FromSeconds(2));
    }

    /// <summary>Waits until each of three hosts reads a third, and all are read.</summary>
    public Task EvenAsync(int machines) =>
        Eventually.IsTrueAsync(
            () =>
                Reading()
                    .GroupBy(turn => turn.Host)
                    .Select(turns => turns.Count())
                    .Order()
                    .SequenceEqual([machines / 3, machines / 3, machines / 3]),
            what: "every host reads a third",
            seconds: 60
        );

    /// <summary>Longest time between one host's last poll of a controller and the next one's first, of turns that began after a time.</summary>
    public TimeSpan LongestUnread(DateTimeOffset since) =>
        Turns()
            .GroupBy(turn => turn.Controller)
            .SelectMany(turns => turns.Zip(turns.Skip(1)))
            .Where(pair => pair.Second.First > since)
            .Select(pair => pair.Second.First - pair.First.Last)
            .DefaultIfEmpty()
            .Max();

    /// <summary>Polls by a connection after another host's had followed it, of all controllers.</summary>
    public long PollsAtOnce() => Rows("at-once").Sum(row => long.Parse(row[2], CultureInfo.InvariantCulture));

    public ValueTask DisposeAsync() => _process.DisposeAsync();

    private IEnumerable<string[]> Rows(string kind) =>
        File.Exists(_polls)
            ? File.ReadAllLines(_polls).Select(line => line.Split(',')).Where(row => row[0] == kind)
            : [];

    private static int HostOf(string address) => IPAddress.Parse(address).GetAddressBytes()[3] - 20;

    private static DateTimeOffset TimeOf(string milliseconds) =>
        DateTimeOffset.FromUnixTimeMilliseconds(long.Parse(milliseconds, CultureInfo.InvariantCulture));
}

/// <summary>One host reads one controller.</summary>
internal sealed record Turn(
    string Controller,
    int Host,
    DateTimeOffset First,
    DateTimeOffset Last,
    long Polls
);
