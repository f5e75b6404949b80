using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers.Recorded;
using Dancerwatch.Signals.Readings;
using Microsoft.Extensions.Time.Testing;

namespace Dancerwatch.EdgeAgent.Tests.Controllers.Recorded;

public sealed class TraceRecorderTests
{
    private static readonly WatchedMachineSettings[] s_machines =
    [
        Traces.Machine("tea-1"),
        Traces.Machine("tea-2"),
    ];
    private readonly MonotonicClock _clock = new(new FakeTimeProvider());

    [Fact]
    public async Task What_two_poll_loops_record_at_once_is_all_in_the_file()
    {
        string path = Path.Combine(Path.GetTempPath(), $"{Guid.NewGuid()}.csv");
        try
        {
            await using (TraceRecorder recorder = new(path, s_machines, _clock))
            {
                await Task.WhenAll(
                    Enumerable
                        .Range(0, 2)
                        .Select(machine =>
                            Task.Run(() =>
                            {
                                for (int i = 0; i < 1000; i++)
                                    recorder.Record(machine, Reading.Failed(i));
                            })
                        )
                );
            }

            await using FileStream file = File.OpenRead(path);
            using CsvTraceReader reader = new(file, s_machines);
            Assert.Equal(
                [1000, 1000],
                Traces.ReadAll(reader).CountBy(row => row.Machine).Select(count => count.Value)
            );
            Assert.Empty(reader.Findings.All);
        }
        finally
        {
            File.Delete(path);
        }
    }

    [Fact]
    public void A_recording_is_never_overwritten()
    {
        string path = Path.GetTempFileName();
        try
        {
            Assert.Throws<IOException>(() => new TraceRecorder(path, s_machines, _clock));
        }
        finally
        {
            File.Delete(path);
        }
    }

    [Fact]
    public async Task A_full_disk_ends_the_recording_with_a_sentence_and_what_is_lost_is_counted()
    {
        TraceRecorder recorder = new(new FullDisk(), s_machines, _clock);
        for (int i = 0; i < 10_000; i++)
            recorder.Record(0, Reading.Failed(i));
        await recorder.DisposeAsync();
        recorder.Record(0, Reading.Failed(10_000));

        Assert.Equal("The recording ended early: No space left on device", recorder.Trouble);
        Assert.InRange(recorder.Dropped, 1, 10_001);
    }

    private sealed class FullDisk : MemoryStream
    {
        public override ValueTask WriteAsync(
            ReadOnlyMemory<byte> buffer,
            CancellationToken cancellationToken = default
        ) => throw new IOException("No space left on device");

        public override void Write(byte[] buffer, int offset, int count) =>
            throw new IOException("No space left on device");

        public override void Write(ReadOnlySpan<byte> buffer) =>
            throw new IOException("No space left on device");
    }
}
