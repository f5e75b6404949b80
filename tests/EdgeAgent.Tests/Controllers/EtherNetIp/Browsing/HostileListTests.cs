using System.Text;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Controllers.EtherNetIp.Browsing;

namespace Dancerwatch.EdgeAgent.Tests.Controllers.EtherNetIp.Browsing;

/// <summary>Lists of tags that cannot be: each is refused in one sentence, in little time, and nothing of it is taken.</summary>
public sealed class HostileListTests : IAsyncDisposable
{
    private const byte Good = 0x00;
    private const byte Partial = 0x06;
    private readonly FakeController _controller = new();
    private uint _id;

    public ValueTask DisposeAsync() => _controller.DisposeAsync();

    [Theory]
    [InlineData("back", "a list of tags that goes back to where it was")]
    [InlineData("nothing", "a list of tags of which no part comes")]
    [InlineData("endless", "more than 50000 tags")]
    [InlineData("half", "half an entry of a list of tags")]
    [InlineData("long name", "half an entry of a list of tags")]
    [InlineData("programs", "more than 1000 programs")]
    [InlineData("huge structure", "a structure that takes 4294967295 words to define")]
    [InlineData("broken structure", "a definition of a structure that does not hold together")]
    [InlineData("nested", "more than 100000 structures within structures")]
    public async Task A_list_that_cannot_be_is_refused_and_nothing_of_it_taken(string how, string what)
    {
        _controller.OnMessage = message => Answer(how, message);

        LinkException refusal = await Assert.ThrowsAsync<LinkException>(BrowseAsync);

        Assert.Equal(
            $"answered with {what}, so nothing of its list is taken. Check that the address and port belong to the controller",
            refusal.Message
        );
    }

    [Fact]
    public async Task A_structure_that_holds_itself_is_cut_off_and_told()
    {
        _controller.OnMessage = message => Answer("endless structure", message);

        BrowsedController found = await BrowseAsync();

        Assert.Equal(100_000, found.Tags.Count);
        Assert.Contains(
            found.Remarks,
            remark => remark.EndsWith("tags beyond the first 100000 are left out.", StringComparison.Ordinal)
        );
    }

    [Fact]
    public async Task A_controller_that_lists_nothing_is_named_as_such()
    {
        _controller.OnMessage = message => [(byte)(message[0] | 0x80), 0, 0x08, 0];

        LinkException refusal = await Assert.ThrowsAsync<LinkException>(BrowseAsync);

        Assert.Equal(
            "does not list the tags of the controller: the service is not supported (status 0x08). Only controllers with named tags do; write tags into the configuration by hand",
            refusal.Message
        );
    }

    [Fact]
    public async Task A_controller_that_does_not_know_the_lengths_of_arrays_is_asked_without_them()
    {
        // Three attributes are too many for it; of an array it says that it is one.
        _controller.OnMessage = message =>
            message[^8] == 3 ? [0xD5, 0, 0x14, 0] : List(Good, Entry("Gap", 0xC3), Entry("Past", 0x20CA));

        BrowsedController found = await BrowseAsync();

        Assert.Equal(
            [new BrowsedTag("Gap", TagType.Int, "INT", 0), new BrowsedTag("Past", null, "REAL", -1)],
            found.Tags
        );
    }

    [Fact]
    public async Task Names_no_request_could_carry_and_structures_nobody_explains_are_counted_and_left_out()
    {
        _controller.OnMessage = message =>
            message[0] == 0x55
                ? List(
                    Good,
                    Long("G p\n", 0xC3),
                    Long("Motion", 0x8123),
                    Long("__hidden", 0xC4),
                    Long("Task:Main", 0x1070)
                )
                : [(byte)(message[0] | 0x80), 0, 0x05, 0];

        BrowsedController found = await BrowseAsync();

        Assert.Equal([new BrowsedTag("Motion", null, "structure", 0)], found.Tags);
        Assert.Equal(
            [
                "1 names of tags are none that a request could carry, and are left out.",
                "1 structures are not taken apart: the controller does not say what they are made of.",
            ],
            found.Remarks
        );
    }

    private byte[] Answer(string how, byte[] message)
    {
        if (message[0] == 0x55)
        {
            return how switch
            {
                "back" => Again(),
                "nothing" => List(Partial),
                "endless" => List(Partial, [.. Enumerable.Range(0, 60).Select(_ => Long("A", 0xC3))]),
                "half" => [0xD5, 0, Good, 0, 1, 0, 0, 0, 3],
                "long name" => [0xD5, 0, Good, 0, 1, 0, 0, 0, 0xFF, 0xFF, 65],
                "programs" => List(
                    _id > 1_100 ? Good : Partial,
                    [.. Enumerable.Range(0, 60).Select(i => Long($"Program:P{_id}", 0x1068))]
                ),
                _ => List(Good, Long("Deep", 0x8111)),
            };
        }
        return message[0] == 0x03
            ? Sized(how == "huge structure" ? uint.MaxValue : 2_000)
            : Definition(how, message);
    }

    private byte[] Again()
    {
        _id = 0;
        return List(Partial, Long("A", 0xC3));
    }

    // Count, then id, status and value of words (attribute 4) and of members (attribute 2).
    private static byte[] Sized(uint words) =>
        [0x83, 0, Good, 0, 2, 0, 4, 0, 0, 0, .. Hex.U32(words), 2, 0, 0, 0, 60, 0];

    // Sixty members, each an array of 64 structures of the next kind, or of the same; those of the fourth kind are hidden.
    private static byte[] Definition(string how, byte[] message)
    {
        byte kind = message[6];
        byte inner = (byte)(how == "endless structure" ? kind : kind + 1);
        string prefix = kind == 0x14 ? "__" : "M";
        byte[] members =
        [
            .. Enumerable.Range(0, 60).SelectMany(_ => (byte[])[64, 0, inner, 0xA1, 0, 0, 0, 0]),
            .. Encoding.ASCII.GetBytes(
                "Deep;n\0" + string.Concat(Enumerable.Range(0, 60).Select(i => $"{prefix}{i}\0"))
            ),
        ];
        int from = BitConverter.ToInt32(message, message.Length - 6);
        byte[] part = how == "broken structure" ? [1, 2, 3] : members[from..];
        return [0xCC, 0, Good, 0, .. part];
    }

    private static byte[] List(byte status, params byte[][] entries) =>
        [0xD5, 0, status, 0, .. entries.SelectMany(entry => entry)];

    private byte[] Long(string name, ushort type) => [.. Entry(name, type), .. new byte[12]];

    private byte[] Entry(string name, ushort type) =>
        [.. Hex.U32(++_id), .. Hex.U16(name.Length), .. Encoding.ASCII.GetBytes(name), .. Hex.U16(type)];

    private Task<BrowsedController> BrowseAsync() =>
        TagBrowser.BrowseAsync(
            new ControllerSettings
            {
                Name = "packing",
                Host = "127.0.0.1",
                Port = _controller.Port,
                Route = "",
                TimeoutMilliseconds = 5_000,
            },
            TimeProvider.System,
            TestContext.Current.CancellationToken
        );
}
