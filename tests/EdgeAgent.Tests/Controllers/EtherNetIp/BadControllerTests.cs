using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Controllers.EtherNetIp;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Time.Testing;

namespace Dancerwatch.EdgeAgent.Tests.Controllers.EtherNetIp;

/// <summary>
/// Controllers that answer what they should not, or not at all: the reader says what it got and what to try, never
/// throws, never hangs, and reads again once the controller does right.
/// </summary>
public sealed class BadControllerTests : IAsyncLifetime
{
    private static readonly TagRequest s_gap = new("Gap", TagType.Dint);
    private static readonly TagRequest s_speed = new("Speed", TagType.Real);
    private const int TimeoutMilliseconds = 250;

    private readonly FakeController _controller = new();

    public ValueTask InitializeAsync()
    {
        _controller.Serve("Gap", "C400 D2040000");
        _controller.Serve("Speed", "CA00 00004842");
        return ValueTask.CompletedTask;
    }

    public ValueTask DisposeAsync() => _controller.DisposeAsync();

    public static TheoryData<string, TagStatus, string> Misbehaviours() =>
        new()
        {
            { "a page of another protocol", TagStatus.Garbled, "a frame of command 0x5448" },
            { "silence", TagStatus.TimedOut, $"no reply within {TimeoutMilliseconds} ms" },
            { "half a header", TagStatus.Garbled, "10 bytes of a frame, and then nothing" },
            { "half a body", TagStatus.Garbled, "30 bytes of a frame, and then nothing" },
            { "another command", TagStatus.Garbled, "a frame of command 0x006F" },
            { "another session", TagStatus.Garbled, "an answer to another session" },
            { "an oversized length", TagStatus.Garbled, "a frame of 65559 bytes, more than was asked for" },
            { "an encapsulation error", TagStatus.ControllerError, "it does not know the session" },
            { "another connection", TagStatus.Garbled, "an answer with another connection id" },
            {
                "another sequence number",
                TagStatus.Garbled,
                "an answer with another connection id or sequence"
            },
            { "a flood of strangers", TagStatus.Garbled, "17 answers with another connection id" },
            { "an item longer than its frame", TagStatus.Garbled, "an answer with another connection id" },
            { "another service", TagStatus.Garbled, "a reply to service 0x4B" },
            { "a request for an answer", TagStatus.Garbled, "a reply too short to be one" },
            {
                "a packet with a reply too few",
                TagStatus.Garbled,
                "a packet of replies that does not hold together"
            },
        };

    // Answers are: header (24), interface and timeout (6), count (2), address item (4 + 4), data item (4), sequence (2), reply.
    private static byte[] Spoil(string how, byte[] answer)
    {
        byte[] spoilt = [.. answer];
        switch (how)
        {
            case "a page of another protocol":
                return [.. "HTTP/1.1 400 Bad Request\r\nConnection: close\r\n\r\n"u8];
            case "silence":
                return [];
            case "half a header":
                return spoilt[..10];
            case "half a body":
                return spoilt[..30];
            case "another command":
                spoilt[0] = 0x6F;
                break;
            case "another session":
                spoilt[4] ^= 1;
                break;
            case "an oversized length":
                (spoilt[2], spoilt[3]) = (0xFF, 0xFF);
                break;
            case "an encapsulation error":
                spoilt[8] = 0x64;
                break;
            case "another connection":
                spoilt[36] ^= 1;
                break;
            case "another sequence number":
                spoilt[44] ^= 1;
                break;
            case "a flood of strangers":
                spoilt[44] ^= 1;
                return [.. Enumerable.Repeat(spoilt, 20).SelectMany(frame => frame)];
            case "an item longer than its frame":
                spoilt[43] = 1;
                break;
            case "another service":
                spoilt[46] = 0xCB;
                break;
            case "a request for an answer":
                spoilt[46] = 0x4C;
                break;
            case "a packet with a reply too few":
                spoilt[50] = 1;
                break;
            default:
                throw new ArgumentException(how, nameof(how));
        }
        return spoilt;
    }

    [Theory, MemberData(nameof(Misbehaviours))]
    public async Task Trouble_names_the_controller_what_it_sent_and_what_to_try(
        string how,
        TagStatus status,
        string words
    )
    {
        await using EtherNetIpTagReader reader = Readers.To(
            _controller.Port,
            [s_gap, s_speed],
            timeoutMilliseconds: TimeoutMilliseconds
        );
        await reader.ReadUntilAsync(snapshot => snapshot.Statuses[0] == TagStatus.Good);
        _controller.OnAnswer = answer => Spoil(how, answer);

        TagSnapshot spoilt = await reader.ReadAsync();

        Assert.All(spoilt.Statuses, actual => Assert.Equal(status, actual));
        Assert.All(spoilt.Numbers, number => Assert.Equal(double.NaN, number));
        Assert.StartsWith(
            $"controller 'packing' at 127.0.0.1:{_controller.Port} ",
            reader.Trouble,
            StringComparison.Ordinal
        );
        Assert.Contains(words, reader.Trouble, StringComparison.Ordinal);
        Assert.Contains("If it goes on, ", reader.Trouble, StringComparison.Ordinal);

        _controller.OnAnswer = null;
        TagSnapshot well = await reader.ReadUntilAsync(snapshot => snapshot.Statuses[0] == TagStatus.Good);

        Assert.Equal([1234, 50], well.Numbers);
        Assert.Null(reader.Trouble);
    }

    [Theory, MemberData(nameof(Misbehaviours))]
    public async Task A_controller_that_is_bad_from_the_start_is_not_hammered_and_is_read_once_it_is_well(
        string how,
        TagStatus status,
        string words
    )
    {
        _controller.OnAnswer = answer => Spoil(how, answer);
        await using EtherNetIpTagReader reader = Readers.To(
            _controller.Port,
            [s_gap, s_speed],
            timeoutMilliseconds: TimeoutMilliseconds
        );

        TagSnapshot first = await reader.ReadAsync();
        for (int i = 0; i < 50; i++)
            await reader.ReadAsync();

        Assert.All(first.Statuses, actual => Assert.Equal(status, actual));
        if (how != "silence") // said in other words while connecting
            Assert.Contains(words, reader.Trouble, StringComparison.Ordinal);
        Assert.InRange(_controller.Connects, 1, 10);

        _controller.OnAnswer = null;
        TagSnapshot well = await reader.ReadUntilAsync(snapshot => snapshot.Statuses[0] == TagStatus.Good);
        Assert.Equal([1234, 50], well.Numbers);
    }

    [Fact]
    public async Task Whatever_byte_of_an_answer_is_wrong_the_reader_does_not_throw_and_reads_again()
    {
        await using EtherNetIpTagReader reader = Readers.To(
            _controller.Port,
            [s_gap, s_speed],
            timeoutMilliseconds: 50
        );
        byte[]? whole = null;
        _controller.OnAnswer = answer => whole = answer;
        await reader.ReadUntilAsync(snapshot => snapshot.Statuses[0] == TagStatus.Good);

        for (int at = 0; at < whole!.Length; at++)
        {
            foreach (byte change in new byte[] { 0x01, 0x80, 0xFF })
            {
                bool spoilt = false;
                _controller.OnAnswer = answer =>
                {
                    if (!spoilt)
                        answer[at] ^= change;
                    spoilt = true;
                    return answer;
                };
                await reader.ReadUntilAsync(_ => spoilt);
                await reader.ReadUntilAsync(snapshot =>
                    snapshot.Statuses.All(status => status == TagStatus.Good)
                    && snapshot.Numbers is [1234, 50]
                );
            }
        }
    }

    [Fact]
    public async Task Wherever_an_answer_breaks_off_the_reader_says_so_and_reads_again()
    {
        await using EtherNetIpTagReader reader = Readers.To(_controller.Port, [s_gap]);
        byte[]? whole = null;
        _controller.OnAnswer = answer => whole = answer;
        await reader.ReadAsync();

        for (int length = 1; length < whole!.Length; length++)
        {
            _controller.OnAnswer = answer => answer[..length];
            _controller.HangsUp = true;
            TagSnapshot broken = await reader.ReadAsync();

            Assert.Equal([TagStatus.Garbled], broken.Statuses);
            Assert.Contains(
                $"{length} bytes of a frame, and then the end of the connection",
                reader.Trouble,
                StringComparison.Ordinal
            );

            _controller.OnAnswer = null;
            _controller.HangsUp = false;
            await reader.ReadUntilAsync(snapshot => snapshot.Statuses[0] == TagStatus.Good);
        }
    }

    [Fact]
    public async Task A_refused_port_is_known_at_once()
    {
        int port = LoopbackPort.Free();
        // Time stands still: nothing here can have waited for a timeout.
        await using EtherNetIpTagReader reader = Readers.To(port, [s_gap], time: new FakeTimeProvider());

        TagSnapshot snapshot = await reader
            .ReadAsync()
            .WaitAsync(Readers.Patience, TestContext.Current.CancellationToken);

        Assert.Equal([TagStatus.NotRead], snapshot.Statuses);
        Assert.Contains(
            "refused the connection: nothing listens on that port",
            reader.Trouble,
            StringComparison.Ordinal
        );
    }

    [Fact]
    public async Task An_unknown_host_is_said_to_be_unknown()
    {
        await using EtherNetIpTagReader reader = new(
            new EdgeAgent.Configuration.ControllerSettings { Name = "packing", Host = "tea-1.invalid" },
            [s_gap],
            new MonotonicClock(TimeProvider.System),
            new RecordingLogger<EtherNetIpTagReader>()
        );

        await Eventually.IsTrueAsync(() =>
            reader.ReadAsync().GetAwaiter().GetResult().Statuses[0] == TagStatus.NotRead
            && reader.Trouble is not null
        );

        Assert.Contains("at tea-1.invalid:44818 ", reader.Trouble, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_timeout_is_honoured_to_the_millisecond_of_the_injected_clock()
    {
        FakeTimeProvider time = new();
        await using EtherNetIpTagReader reader = Readers.To(
            _controller.Port,
            [s_gap],
            timeoutMilliseconds: 500,
            time: time
        );
        await reader.ReadAsync();
        int asked = _controller.Messages.Count;
        _controller.OnAnswer = _ => [];

        Task<TagSnapshot> read = reader.ReadAsync();
        await Eventually.IsTrueAsync(() => _controller.Messages.Count > asked);
        time.Advance(TimeSpan.FromMilliseconds(499));
        Assert.False(read.IsCompleted);
        time.Advance(TimeSpan.FromMilliseconds(1));
        TagSnapshot snapshot = await read.WaitAsync(Readers.Patience, TestContext.Current.CancellationToken);

        Assert.Equal([TagStatus.TimedOut], snapshot.Statuses);
        Assert.Contains("no reply within 500 ms", reader.Trouble, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_cancelled_read_ends_as_cancelled_and_the_next_one_reads()
    {
        await using EtherNetIpTagReader reader = Readers.To(_controller.Port, [s_gap]);
        await reader.ReadAsync();
        int asked = _controller.Messages.Count;
        _controller.OnAnswer = _ => [];
        using CancellationTokenSource stop = new();

        Task read = reader.ReadAsync(new TagSnapshot(1), stop.Token).AsTask();
        await Eventually.IsTrueAsync(() => _controller.Messages.Count > asked);
        await stop.CancelAsync();
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => read);

        _controller.OnAnswer = null;
        TagSnapshot well = await reader.ReadUntilAsync(snapshot => snapshot.Statuses[0] == TagStatus.Good);
        Assert.Equal([1234], well.Numbers);
    }

    [Fact]
    public async Task A_controller_that_restarts_is_read_again_within_a_second_and_said_to_be_away_once()
    {
        RecordingLogger<EtherNetIpTagReader> log = new();
        FakeController before = new();
        before.Serve("Gap", "C400 01000000");
        await using EtherNetIpTagReader reader = Readers.To(before.Port, [s_gap], logger: log);
        await reader.ReadAsync();
        await before.DisposeAsync();
        TagSnapshot away = await reader.ReadAsync();
        Assert.NotEqual(TagStatus.Good, away.Statuses[0]);
        await Eventually.IsTrueAsync(() =>
        {
            reader.ReadAsync().GetAwaiter().GetResult();
            return log.Entries.Count(entry => entry.Id is 1001 or 1002) >= 4;
        });
        Assert.Contains("refused the connection", reader.Trouble, StringComparison.Ordinal);

        MonotonicClock clock = new(TimeProvider.System);
        await using FakeController after = new(before.Port);
        after.Serve("Gap", "C400 02000000");
        long back = clock.Ticks;
        TagSnapshot again = await reader.ReadUntilAsync(snapshot => snapshot.Statuses[0] == TagStatus.Good);

        Assert.Equal([2], again.Numbers);
        Assert.InRange(clock.Ticks - back, 0, TimeSpan.TicksPerSecond);
        Assert.Equal(1, log.Entries.Count(entry => entry.Id == 1001));
        Assert.Equal(2, log.Entries.Count(entry => entry.Id == 1000));
    }

    [Fact]
    public async Task A_controller_that_hangs_up_on_every_poll_does_not_flood_the_log()
    {
        RecordingLogger<EtherNetIpTagReader> log = new();
        await using EtherNetIpTagReader reader = Readers.To(_controller.Port, [s_gap], logger: log);
        _controller.HangsUp = true;

        for (int i = 0; i < 100; i++)
            await reader.ReadAsync();

        Assert.True(_controller.Connects > 10, $"{_controller.Connects} connections");
        Assert.True(log.Entries.Count(entry => entry.Id == 1003) > 10);
        Assert.Equal(
            [1000, 1003, 1000],
            log.Entries.Where(entry => entry.Level > LogLevel.Debug).Select(entry => entry.Id)
        );
    }
}
