using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Controllers.EtherNetIp;
using FsCheck;
using FsCheck.Fluent;
using FsCheck.Xunit;

namespace Dancerwatch.EdgeAgent.Tests.Controllers.EtherNetIp;

public sealed class RequestPackerTests
{
    [Fact]
    public void Two_tags_become_one_packet_with_an_offset_for_each()
    {
        IReadOnlyList<Packet> packets = Pack([Plan("Gap", TagType.Dint), Plan("On", TagType.Bool)], 500, 500);

        // Multiple Service Packet to the message router: CIP volume 1, appendix A (from memory).
        Assert.Equal(
            Hex.Bytes("0A 02 20022401 0200 0600 1000" + "4C 03 910347617000 0100" + "4C 02 91024F6E 0100"),
            Assert.Single(packets).Message
        );
    }

    [Fact]
    public void A_lone_tag_travels_without_a_packet_around_it() =>
        Assert.Equal(
            Hex.Bytes("4C 03 910347617000 0100"),
            Assert.Single(Pack([Plan("Gap", TagType.Dint)], 500, 500)).Message
        );

    [Fact]
    public void Two_hundred_tags_of_8_bytes_fill_seven_small_packets_or_one_large_one()
    {
        TagPlan[] plans = [.. Enumerable.Range(100, 200).Select(i => Plan($"Tag{i}", TagType.Lreal))];

        // A reply takes 2 (offset) + 4 (header) + 2 (type) + 8 bytes; 498 - 6 of them hold 30, and 200 / 30 is 7.
        Assert.Equal(7, Pack(plans, 498, 498).Count);
        Assert.Single(Pack(plans, 3998, 3998));
    }

    [Property]
    public Property Every_tag_is_asked_for_once_in_order_and_no_size_is_exceeded() =>
        Prop.ForAll(
            Gen.Choose(0, 11).ListOf(150).ToArbitrary(),
            Gen.Choose(120, 4000).ToArbitrary(),
            (types, size) =>
            {
                TagPlan[] plans = [.. types.Select((type, i) => Plan($"Some.Tag{i}", (TagType)type))];

                IReadOnlyList<Packet> packets = Pack(plans, size, size);

                bool inOrder = packets
                    .SelectMany(packet => packet.Tags)
                    .SequenceEqual(Enumerable.Range(0, plans.Length));
                bool fit = packets.All(packet =>
                    packet.Message.Length <= size
                    && (
                        packet.Tags.Length == 1
                        || 6 + packet.Tags.Sum(tag => 2 + plans[tag].ReplyLength) <= size
                    )
                );
                return inOrder && fit;
            }
        );

    private static IReadOnlyList<Packet> Pack(TagPlan[] plans, int request, int reply) =>
        RequestPacker.Pack(plans, new ReadMode[plans.Length], request, reply);

    private static TagPlan Plan(string name, TagType type)
    {
        TagRequest tag = new(name, type);
        Assert.True(TagAddress.TryParse(tag, out TagAddress? address, out _));
        return new TagPlan(tag, address!);
    }
}
