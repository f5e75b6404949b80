using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Controllers.EtherNetIp;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Time.Testing;

namespace Dancerwatch.EdgeAgent.Tests.Controllers.EtherNetIp;

/// <summary>The reader against a controller that does as it should.</summary>
public sealed class EtherNetIpTagReaderTests : IAsyncLifetime
{
    private static readonly TagRequest s_gap = new("Gap", TagType.Dint);
    private static readonly TagRequest s_speed = new("Tea1.UnwindSpeed", TagType.Real);
    private static readonly TagRequest s_running = new("Tea1.Running", TagType.Bool);

    private readonly FakeController _controller = new();

    public ValueTask InitializeAsync()
    {
        _controller.Serve("Gap", "C400 D2040000"); // 1234
        _controller.Serve("Tea1.UnwindSpeed", "CA00 00004842"); // 50
        _controller.Serve("Tea1.Running", "C100 FF");
        return ValueTask.CompletedTask;
    }

    public ValueTask DisposeAsync() => _controller.DisposeAsync();

    [Theory]
    [InlineData(true, true, new byte[] { 0x5B, 0x0A, 0x0A })] // large connection
    [InlineData(false, true, new byte[] { 0x5B, 0x54, 0x0A, 0x0A })] // small connection
    [InlineData(false, false, new byte[] { 0x5B, 0x54, 0x0A, 0x0A })] // none, no route
    public async Task A_connection_is_asked_for_large_then_small_and_each_poll_is_one_packet(
        bool large,
        bool small,
        byte[] services
    )
    {
        _controller.GrantsLarge = large;
        _controller.GrantsSmall = small;
        await using EtherNetIpTagReader reader = Readers.To(_controller.Port, [s_gap, s_speed, s_running]);

        TagSnapshot first = await reader.ReadAsync();
        TagSnapshot second = await reader.ReadAsync();

        Assert.Equal([1234, 50, 1], first.Numbers);
        Assert.Equal([1234, 50, 1], second.Numbers);
        Assert.All(first.Statuses, status => Assert.Equal(TagStatus.Good, status));
        Assert.True(second.Ticks > first.Ticks);
        Assert.Null(reader.Trouble);
        Assert.Equal(services, _controller.Services);
        Assert.Equal(large || small, _controller.Frames.Any(frame => frame[0] == 0x70));
        Assert.Equal(1, _controller.Connects);
    }

    [Theory]
    [InlineData(new byte[] { 0x5B }, new byte[] { 0x5B, 0x54, 0x0A })]
    [InlineData(new byte[] { 0x5B, 0x54 }, new byte[] { 0x5B, 0x54, 0x0A })]
    public async Task A_request_for_a_connection_that_is_left_unanswered_is_not_made_again(
        byte[] unanswered,
        byte[] services
    )
    {
        _controller.Unanswered.UnionWith(unanswered);
        await using EtherNetIpTagReader reader = Readers.To(
            _controller.Port,
            [s_gap, s_speed],
            timeoutMilliseconds: 100
        );

        TagSnapshot first = await reader.ReadAsync();
        Assert.All(first.Statuses, status => Assert.Equal(TagStatus.TimedOut, status));
        Assert.Contains(
            "left the request for a large connection unanswered",
            reader.Trouble,
            StringComparison.Ordinal
        );

        TagSnapshot read = await reader.ReadUntilAsync(read => read.Statuses[0] == TagStatus.Good);
        Assert.Equal([1234, 50], read.Numbers);
        Assert.Null(reader.Trouble);
        // Each try registers anew; what was not answered is asked for once.
        Assert.Equal(services, _controller.Services.Take(services.Length));
        Assert.Equal(unanswered.Length + 1, _controller.Connects);

        // Lost and found again: straight the way that served.
        _controller.HangsUp = true;
        await reader.ReadUntilAsync(read => read.Statuses[0] != TagStatus.Good);
        _controller.HangsUp = false;
        await reader.ReadUntilAsync(read => read.Statuses[0] == TagStatus.Good);
        Assert.Single(_controller.Services, service => service == 0x5B);
    }

    [Fact]
    public async Task Without_a_connection_the_route_leads_each_request_on()
    {
        _controller.GrantsLarge = _controller.GrantsSmall = false;
        await using EtherNetIpTagReader reader = Readers.To(_controller.Port, [s_gap], route: "1,3");

        TagSnapshot snapshot = await reader.ReadAsync();

        Assert.Equal([1234], snapshot.Numbers);
        Assert.Equal([0x5B, 0x54, 0x52], _controller.Services);
        // Unconnected Send to the connection manager, 250 times 8 ms, 10 bytes of Read Tag, slot 3 behind port 1.
        Assert.Equal(
            Hex.Bytes("52 02 20062401 03 FA 0A00" + "4C 03 910347617000 0100" + "01 00 0103"),
            _controller.Frames.Last()[40..]
        );
    }

    [Fact]
    public async Task Nothing_but_reads_and_what_carries_them_is_ever_sent()
    {
        EtherNetIpTagReader reader = Readers.To(_controller.Port, [s_gap, s_speed], route: "1,0");
        await reader.ReadAsync();
        await reader.DisposeAsync();
        await Eventually.IsTrueAsync(() => _controller.Frames.Last()[0] == 0x66);

        Assert.Equal([0x65, 0x6F, 0x70, 0x6F, 0x66], _controller.Frames.Select(frame => frame[0]));
        Assert.Equal([0x5B, 0x0A, 0x4E], _controller.Services);
        // What shares its code with another object's service is addressed to the connection manager.
        byte[] close = _controller.Frames.ElementAt(3);
        Assert.Equal(Hex.Bytes("4E 02 20062401"), close[40..46]);
    }

    [Fact]
    public async Task One_missing_one_mistyped_and_one_impossible_tag_spoil_nothing()
    {
        TagRequest[] tags =
        [
            s_gap,
            new("Gapp", TagType.Dint),
            s_speed,
            new("Gap", TagType.Real),
            new("3 gaps", TagType.Dint),
            s_running,
        ];
        RecordingLogger<EtherNetIpTagReader> log = new();
        await using EtherNetIpTagReader reader = Readers.To(_controller.Port, tags, logger: log);

        TagSnapshot snapshot = await reader.ReadAsync();

        Assert.Equal(
            [
                TagStatus.Good,
                TagStatus.NoSuchTag,
                TagStatus.Good,
                TagStatus.WrongType,
                TagStatus.NoSuchTag,
                TagStatus.Good,
            ],
            snapshot.Statuses
        );
        Assert.Equal([1234, double.NaN, 50, double.NaN, double.NaN, 1], snapshot.Numbers);
        Assert.Null(reader.Trouble);
        Assert.Null(reader.TagTrouble(0));
        Assert.Contains("'Gapp' was not found", reader.TagTrouble(1), StringComparison.Ordinal);
        Assert.Contains("'Gap' is DINT", reader.TagTrouble(3), StringComparison.Ordinal);
        Assert.Contains("says REAL", reader.TagTrouble(3), StringComparison.Ordinal);
        Assert.Contains("'3 gaps'", reader.TagTrouble(4), StringComparison.Ordinal);

        await reader.ReadAsync();
        _controller.Serve("Gapp", "C400 01000000");
        TagSnapshot mended = await reader.ReadAsync();

        Assert.Equal(1, mended.Numbers[1]);
        Assert.Null(reader.TagTrouble(1));
        // Each trouble is logged when it begins and when it ends, not on every poll.
        Assert.Equal(
            [1010, 1010, 1010, 1011],
            log.Entries.Select(entry => entry.Id).Where(id => id >= 1010).Order()
        );
    }

    [Theory]
    [InlineData("CC 00 0F 00", TagStatus.Forbidden, "may not be read")]
    [InlineData("CC 00 05 00", TagStatus.NoSuchTag, "was not found")]
    [InlineData("CC 00 FF 01 0521", TagStatus.NoSuchTag, "beyond the end of the array")]
    [InlineData("CC 00 10 00", TagStatus.ControllerError, "status 0x10")]
    [InlineData(
        "CC 00 00 00 C400 01",
        TagStatus.Garbled,
        "came back as DINT with a value that cannot be decoded"
    )]
    public async Task What_the_controller_says_of_a_tag_becomes_its_status_and_a_sentence(
        string reply,
        TagStatus status,
        string words
    )
    {
        _controller.OnMessage = _ => Hex.Bytes(reply);
        await using EtherNetIpTagReader reader = Readers.To(_controller.Port, [s_gap]);

        TagSnapshot snapshot = await reader.ReadAsync();

        Assert.Equal([status], snapshot.Statuses);
        Assert.Contains(words, reader.TagTrouble(0), StringComparison.Ordinal);
        Assert.Null(reader.Trouble);
    }

    [Fact]
    public async Task Bits_BOOL_arrays_indices_and_program_scope_are_read()
    {
        _controller.Serve("Status", "C400 20000000");
        _controller.Tags[Hex.SymbolicPath("Flags") + "2801"] = "D300 00000080"; // bits 32 to 63
        _controller.Tags[Hex.SymbolicPath("Bags") + "290001E803"] = "";
        _controller.Tags[Hex.SymbolicPath("Bags") + "2900E803"] = "C300 0700"; // [1000]
        _controller.Serve("Program:Tea.Gap", "CB00 182D4454FB210940");
        await using EtherNetIpTagReader reader = Readers.To(
            _controller.Port,
            [
                new("Status.5", TagType.Bool),
                new("Status.6", TagType.Bool),
                new("Flags[63]", TagType.Bool),
                new("Flags[62]", TagType.Bool),
                new("Bags[1000]", TagType.Int),
                new("Program:Tea.Gap", TagType.Lreal),
            ]
        );

        TagSnapshot snapshot = await reader.ReadAsync();

        Assert.Equal([1, 0, 1, 0, 7, Math.PI], snapshot.Numbers);
    }

    [Fact]
    public async Task A_STRING_is_text_and_the_same_instance_while_it_does_not_change()
    {
        _controller.Serve("Product", "A002 CE0F 05000000 4173736DFC" + new string('0', 2 * 79));
        await using EtherNetIpTagReader reader = Readers.To(
            _controller.Port,
            [new("Product", TagType.String)]
        );

        TagSnapshot first = await reader.ReadAsync();
        TagSnapshot second = await reader.ReadAsync();
        _controller.Serve("Product", "A002 CE0F 02000000 4F6B" + new string('0', 2 * 82));
        TagSnapshot third = await reader.ReadAsync();

        Assert.Equal(["Assmü"], first.Texts);
        Assert.Equal([double.NaN], first.Numbers);
        Assert.Same(first.Texts[0], second.Texts[0]);
        Assert.Equal(["Ok"], third.Texts);
    }

    [Theory]
    [InlineData(false, 7)]
    [InlineData(true, 1)]
    public async Task Two_hundred_tags_are_split_by_the_size_of_the_connection(bool large, int packets)
    {
        _controller.GrantsLarge = large;
        TagRequest[] tags =
        [
            .. Enumerable.Range(100, 200).Select(i => new TagRequest($"Tag{i}", TagType.Lreal)),
        ];
        for (int i = 0; i < tags.Length; i++)
            _controller.Serve(tags[i].Name, $"CB00 {Convert.ToHexString(BitConverter.GetBytes((double)i))}");
        await using EtherNetIpTagReader reader = Readers.To(_controller.Port, tags);

        TagSnapshot snapshot = await reader.ReadAsync();

        Assert.Equal(Enumerable.Range(0, 200).Select(i => (double)i), snapshot.Numbers);
        Assert.Equal(packets, _controller.Messages.Count);
    }

    [Fact]
    public async Task A_reply_that_does_not_fit_is_read_in_fragments_from_then_on()
    {
        byte[] value = Hex.Bytes("05000000 4173736DFC" + new string('0', 2 * 79));
        _controller.OnMessage = message =>
        {
            if (message[0] != 0x52)
                return Hex.Bytes("CC 00 06 00 A002 CE0F 0500");
            int offset = BitConverter.ToInt32(message, message.Length - 4);
            byte[] part = value[offset..Math.Min(offset + 30, value.Length)];
            bool more = offset + part.Length < value.Length;
            return [0xD2, 0, more ? (byte)6 : (byte)0, 0, 0xA0, 0x02, 0xCE, 0x0F, .. part];
        };
        await using EtherNetIpTagReader reader = Readers.To(
            _controller.Port,
            [new("Product", TagType.String)]
        );

        TagSnapshot first = await reader.ReadAsync();
        TagSnapshot second = await reader.ReadAsync();

        Assert.Equal(["Assmü"], first.Texts);
        Assert.Equal(["Assmü"], second.Texts);
        Assert.Equal(
            [0x4C, 0x52, 0x52, 0x52, 0x52, 0x52, 0x52],
            _controller.Messages.Select(message => message[0])
        );
    }

    [Fact]
    public async Task A_value_that_never_ends_in_fragments_is_given_up()
    {
        _controller.OnMessage = message =>
            message[0] == 0x4C ? Hex.Bytes("CC 00 11 00") : Hex.Bytes("D2 00 06 00 C400 2A000000 2A000000");
        await using EtherNetIpTagReader reader = Readers.To(_controller.Port, [s_gap]);

        TagSnapshot snapshot = await reader.ReadAsync();

        Assert.Equal([TagStatus.Garbled], snapshot.Statuses);
        Assert.InRange(_controller.Messages.Count, 3, 40);
    }

    [Fact]
    public async Task A_controller_that_takes_no_packets_is_asked_for_each_tag_alone()
    {
        _controller.OnMessage = message => message[0] == 0x0A ? Hex.Bytes("8A 00 08 00") : null;
        await using EtherNetIpTagReader reader = Readers.To(_controller.Port, [s_gap, s_speed]);

        TagSnapshot first = await reader.ReadAsync();
        TagSnapshot second = await reader.ReadAsync();

        Assert.Equal([1234, 50], first.Numbers);
        Assert.Equal([1234, 50], second.Numbers);
        Assert.Equal([0x0A, 0x4C, 0x4C, 0x4C, 0x4C], _controller.Messages.Select(message => message[0]));
    }

    [Theory]
    [InlineData(1)]
    [InlineData(7)]
    [InlineData(25)]
    public async Task Frames_may_arrive_in_pieces_of_any_size(int length)
    {
        _controller.ChunkLength = length;
        await using EtherNetIpTagReader reader = Readers.To(_controller.Port, [s_gap, s_speed]);

        TagSnapshot snapshot = await reader.ReadAsync();

        Assert.Equal([1234, 50], snapshot.Numbers);
    }

    [Fact]
    public async Task A_reading_is_stamped_halfway_between_question_and_answer()
    {
        FakeTimeProvider time = new();
        await using EtherNetIpTagReader reader = Readers.To(_controller.Port, [s_gap], time: time);
        await reader.ReadAsync();
        time.Advance(TimeSpan.FromMilliseconds(20));
        _controller.OnMessage = _ =>
        {
            time.Advance(TimeSpan.FromMilliseconds(10));
            return null;
        };

        TagSnapshot snapshot = await reader.ReadAsync();

        Assert.Equal(TimeSpan.FromMilliseconds(25).Ticks, snapshot.Ticks);
    }

    [Fact]
    public async Task A_connection_made_and_a_connection_refused_are_each_logged_once()
    {
        _controller.GrantsLarge = _controller.GrantsSmall = false;
        RecordingLogger<EtherNetIpTagReader> log = new();
        await using EtherNetIpTagReader reader = Readers.To(_controller.Port, [s_gap], logger: log);

        await reader.ReadAsync();
        await reader.ReadAsync();

        Assert.Equal(
            [(LogLevel.Information, 1000), (LogLevel.Information, 1004)],
            log.Entries.Select(e => (e.Level, e.Id))
        );
        Assert.Contains(
            "the connection size is not allowed",
            log.Entries.Last().Text,
            StringComparison.Ordinal
        );
    }

    [Fact]
    public void A_malformed_route_is_refused_when_the_reader_is_made()
    {
        ArgumentException refusal = Assert.Throws<ArgumentException>(() =>
            Readers.To(_controller.Port, [s_gap], route: "1")
        );

        Assert.Contains("route '1'", refusal.Message, StringComparison.Ordinal);
    }
}
