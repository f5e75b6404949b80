using System.Text;
using Dancerwatch.EdgeAgent.Commands.Replays;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers.Recorded;
using Dancerwatch.EdgeAgent.Recording;
using Dancerwatch.EdgeAgent.Tests.Configuration;
using Dancerwatch.EdgeAgent.Tests.Controllers.Recorded;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.EdgeAgent.Watching.Payloads;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Tests.Commands.Replays;

/// <summary>Machines of one trace, each read by a task of its own while the trace is decoded ahead.</summary>
public sealed class SideBySideTests : IDisposable
{
    private const int Rows = 20_000;
    private static readonly WatchedMachineSettings[] s_machines =
    [
        Traces.Machine("tea-1"),
        Traces.Machine("tea-2"),
        Traces.Machine("tea-3"),
    ];

    private readonly string _trace = Path.GetTempFileName();
    private readonly AgentSettings _settings = SettingsFile
        .Parse(Encoding.UTF8.GetBytes(SmallConfiguration.Text), Path.GetTempPath())
        .Settings!;
    private readonly CancellationToken _cancellation = TestContext.Current.CancellationToken;

    public void Dispose() => File.Delete(_trace);

    [Theory]
    [InlineData(1)] // in turns, of one time
    [InlineData(700)] // by stretches, so that the rows go to and fro in time
    [InlineData(Rows)] // one after the other: the others wait
    public async Task Events_of_several_machines_come_in_the_order_of_their_rows(int stretch)
    {
        WriteTrace(stretch);
        List<string> expected = RowByRow();

        List<string> events = [];
        using Histories histories = new(_trace, s_machines, s_machines, Period.Ever);
        await TraceReplay.RunAsync(_settings, s_machines, histories, new Collector(events), _cancellation);

        Assert.Equal(3 * Rows, histories.Rows);
        Assert.Equal(1, histories.Progress);
        Assert.InRange(expected.Count, 12, 1_000);
        Assert.Equal(expected, events);
    }

    [Fact]
    public async Task An_error_of_one_machine_ends_the_others_and_is_the_one_that_is_told()
    {
        WriteTrace(stretch: 1);
        using Histories histories = new(_trace, s_machines, s_machines, Period.Ever);

        IOException thrown = await Assert.ThrowsAsync<IOException>(() =>
            histories.ReadAsync(
                history => history.Machine == 1 ? (in _) => throw new IOException("too much") : (in _) => { },
                _cancellation
            )
        );

        Assert.Equal("too much", thrown.Message);
        Assert.InRange(histories.Rows, 1, (3 * Rows) - 1);
    }

    [Fact]
    public async Task A_replay_that_is_cancelled_ends_though_nobody_reads_on()
    {
        WriteTrace(stretch: 1);
        using CancellationTokenSource cancelled = new();
        using Histories histories = new(_trace, s_machines, s_machines, Period.Ever);

        await Assert.ThrowsAnyAsync<OperationCanceledException>(() =>
            histories.ReadAsync(_ => (in _) => cancelled.Cancel(), cancelled.Token)
        );

        Assert.InRange(histories.Rows, 1, (3 * Rows) - 1);
    }

    [Fact]
    public async Task A_trace_that_cannot_be_read_on_ends_all_with_its_own_words_after_what_was_whole()
    {
        WriteTrace(stretch: 1);
        using CsvDecoder decoder = new(
            new TornFile(await File.ReadAllBytesAsync(_trace, _cancellation)),
            s_machines,
            [],
            Period.Ever
        );
        CsvHistory[] histories = [.. s_machines.Select((_, place) => new CsvHistory(decoder, place))];

        IOException[] thrown = await Task.WhenAll(
            histories.Select(history =>
                Assert.ThrowsAsync<IOException>(async () =>
                {
                    while (await history.NextBatchAsync(_cancellation))
                    {
                        while (history.TryRead(out _)) { }
                    }
                })
            )
        );

        Assert.All(thrown, error => Assert.Equal("Input/output error", error.Message));
        Assert.InRange(histories.Sum(history => history.Rows), Rows, (3 * Rows) - 1);
    }

    [Fact]
    public async Task Decoding_waits_for_a_machine_that_is_behind()
    {
        WriteTrace(Rows);
        CsvDecoder decoder = new(File.OpenRead(_trace), s_machines, [], Period.Ever);
        CsvHistory first = new(decoder, 0);
        CsvHistory last = new(decoder, 2);

        Task<bool> waiting = last.NextBatchAsync(_cancellation).AsTask();
        Assert.False(waiting.IsCompleted);
        while (await first.NextBatchAsync(_cancellation) && first.Rows < Rows / 2)
        {
            while (first.TryRead(out _)) { }
            // The file is not read to its end, for the batches of the first machine hold but a part of its rows.
            Assert.InRange(decoder.Progress, 0, 0.9);
            Assert.False(waiting.IsCompleted);
        }
        decoder.Dispose();

        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => waiting);
    }

    /// <summary>Three machines that swing widely and are not read for 10 s of each 50, the last a little later than the others.</summary>
    private void WriteTrace(int stretch)
    {
        using StreamWriter file = new(_trace);
        CsvTraceWriter trace = new(file, s_machines);
        Reading[] readings = [.. SimulatedHour.Readings().Skip(SimulatedHour.Count - Rows).Take(Rows)];
        for (int begin = 0; begin < Rows; begin += stretch)
        for (int machine = 0; machine < s_machines.Length; machine++)
        for (int i = begin; i < Math.Min(begin + stretch, Rows); i++)
        {
            long ticks = readings[i].Ticks + (machine == 2 ? 7 : 0);
            Reading reading = i % 2_500 < 2_000 ? readings[i] with { Ticks = ticks } : Reading.Failed(ticks);
            trace.Write(machine, reading, DateTimeOffset.UnixEpoch.AddTicks(reading.Ticks));
        }
    }

    /// <summary>The events in the obvious way: one thread, row by row.</summary>
    private List<string> RowByRow()
    {
        List<string> events = [];
        using CsvTraceReader reader = new(File.OpenRead(_trace), s_machines);
        MachineWatch?[] watches = new MachineWatch?[s_machines.Length];
        while (reader.TryRead(out TraceRow row))
        {
            MachineWatch watch = watches[row.Machine] ??= new MachineWatch(
                MachinePlace.Of(_settings, s_machines[row.Machine]),
                s_machines[row.Machine].Machine,
                ticks => reader.Zero!.Value.AddTicks(ticks),
                new Collector(events)
            );
            watch.Process(row.Reading);
        }
        return events;
    }

    private sealed class Collector(List<string> payloads) : IEventSink
    {
        public void Raise(MachineEvent raised) =>
            payloads.Add(Encoding.UTF8.GetString(EventPayload.Of(raised, payloads.Count + 1)));
    }

    /// <summary>A file on a disk that gives up after two thirds of it.</summary>
    private sealed class TornFile(byte[] bytes) : MemoryStream(bytes)
    {
        public override int Read(byte[] buffer, int offset, int count) =>
            Position > 2 * Length / 3
                ? throw new IOException("Input/output error")
                : base.Read(buffer, offset, count);
    }
}
