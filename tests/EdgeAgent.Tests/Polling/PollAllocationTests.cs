using System.Net;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Polling;
using Dancerwatch.EdgeAgent.Tests.Controllers.EtherNetIp;
using Dancerwatch.EdgeAgent.Waiting;
using Dancerwatch.VirtualMachine.EtherNetIp;
using Dancerwatch.VirtualMachine.Tags;
using Microsoft.Extensions.Logging.Abstractions;

namespace Dancerwatch.EdgeAgent.Tests.Polling;

/// <summary>
/// From a deadline over request and answer to the sinks, and to the next deadline; many controllers at once too, so that more waits are
/// under way than there are processors, for which the runtime would keep what a wait needs.
/// </summary>
[Collection(nameof(Undisturbed))]
public sealed class PollAllocationTests
{
    private const int PollsARound = 20;

    [Theory]
    [InlineData(1, 8, 4002)]
    [InlineData(1, 64, 511)] // several packets a poll
    [InlineData(12, 8, 4002)]
    public async Task A_poll_over_the_network_allocates_nothing(int controllers, int tags, int connection)
    {
        Assert.SkipWhen(PollThread.Shared is null, "polls have no thread of their own on this system");
        TagTable table = new();
        for (int i = 0; i < tags; i++)
            table.AddReal($"Tea1.Signal{i}").Value = i;
        await using ControllerServer server = new(
            table,
            new ControllerServerOptions { LargestConnection = connection },
            TimeProvider.System
        );
        server.Start(new IPEndPoint(IPAddress.Loopback, 0));
        MonotonicClock clock = new(TimeProvider.System);
        ITagReader[] readers =
        [
            .. Enumerable
                .Range(0, controllers)
                .Select(i =>
                    TagReaders.Create(
                        new ControllerSettings
                        {
                            Name = $"packing-{i}",
                            Host = "127.0.0.1",
                            Port = server.EndPoint.Port,
                        },
                        [
                            .. Enumerable
                                .Range(0, tags)
                                .Select(tag => new TagRequest($"Tea1.Signal{tag}", TagType.Real)),
                        ],
                        clock,
                        NullLoggerFactory.Instance
                    )
                ),
        ];
        AllocationSink sink = new();
        ControllerPoller[] pollers =
        [
            .. readers.Select(
                (reader, i) =>
                    new ControllerPoller(
                        $"packing-{i}",
                        reader,
                        TimeSpan.FromMilliseconds(5),
                        clock,
                        // What any of them allocates, one of them sees: they run on one thread.
                        i == 0
                            ? [sink]
                            : [],
                        new NoMeters(),
                        NullLogger<ControllerPoller>.Instance
                    )
            ),
        ];
        using CancellationTokenSource stop = new();
        // As the daemon does: without the test's own context, to which each poll would go back.
        Task running = Task.Run(
            () => Task.WhenAll(pollers.Select(poller => poller.RunAsync(stop.Token))),
            TestContext.Current.CancellationToken
        );

        await Eventually.IsTrueAsync(() => sink.Least == 0, "a round of polls that allocates nothing");
        await stop.CancelAsync();
        await running;
        foreach (ITagReader reader in readers)
            await reader.DisposeAsync();
    }

    /// <summary>Telemetry is held to this apart; other tests listen to its meters, on the thread of whoever polls.</summary>
    private sealed class NoMeters : IPollObserver
    {
        public void PollingBegins(string controller) { }

        public void PollCompleted(string controller, in PollTimes times, PollOutcome outcome) { }

        public void PollsMissed(string controller, long count) { }

        public void ReadErrors(string controller, int count) { }

        public void SinkFailed(string controller) { }
    }

    /// <summary>
    /// What polls allocate on the thread that they all run on: the least of all rounds, since what another test brings about may
    /// fall into many, as with <see cref="Allocated"/>.
    /// </summary>
    private sealed class AllocationSink : ISnapshotSink
    {
        private Thread? _thread;
        private long _before;
        private int _polls;

        public long Least { get; private set; } = long.MaxValue;

        public void Receive(TagSnapshot snapshot)
        {
            if (snapshot.Statuses[0] != TagStatus.Good)
                return;
            long now = GC.GetAllocatedBytesForCurrentThread();
            // The first poll connects, on other threads.
            bool isSame = _thread == Thread.CurrentThread;
            if (isSame && ++_polls < PollsARound)
                return;
            if (isSame)
                Least = Math.Min(Least, now - _before);
            (_thread, _before, _polls) = (Thread.CurrentThread, now, 0);
        }
    }
}
