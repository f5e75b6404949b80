using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Outbox.Disk;
using FsCheck;
using FsCheck.Xunit;

namespace Dancerwatch.EdgeAgent.Tests.Outbox.Disk;

public sealed class StoredEventTests
{
    [Property]
    public void What_was_stored_is_read_again(NonNull<byte[]> payload, long ticks)
    {
        byte[] content = StoredEvent.Encode(
            "/leafside/tea-hall/line-1/tea-1",
            "tea-1:Grün:1:0",
            ticks,
            payload.Get
        );

        OutboxEntry read = StoredEvent.Decode(7, content, ofThisRun: true)!;

        Assert.Equal(
            (7, "/leafside/tea-hall/line-1/tea-1", "tea-1:Grün:1:0"),
            (read.Sequence, read.Source, read.Id)
        );
        Assert.Equal(ticks, read.ReadingTicks);
        Assert.Equal(payload.Get, read.Payload);
    }

    [Fact]
    public void Ticks_of_another_run_tell_nothing() =>
        Assert.Null(
            StoredEvent.Decode(7, StoredEvent.Encode("/a", "b", 9, []), ofThisRun: false)!.ReadingTicks
        );

    [Property]
    public void Any_bytes_are_survived(byte[] content) =>
        StoredEvent.Decode(1, content ?? [], ofThisRun: true);
}
