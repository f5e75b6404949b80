namespace Dancerwatch.EdgeAgent.Controllers.EtherNetIp;

/// <summary>How one tag is asked for, encoded once.</summary>
internal sealed class TagPlan
{
    private const int ReplyHeader = 4;
    private const int TypeField = 2;
    private const int HandleField = 2;

    public TagPlan(TagRequest tag, TagAddress address)
    {
        Tag = tag;
        Address = address;
        ReadMessage = Message(CipService.ReadTag).ToArray();
        FragmentMessage = Message(CipService.ReadTagFragmented).UInt32(0).ToArray();
        int reply = ReplyHeader + TypeField + DataLength(tag.Type, address);
        ReplyLength = reply + (reply % 2);
    }

    public TagRequest Tag { get; }
    public TagAddress Address { get; }

    /// <summary>Read Tag, one element.</summary>
    public byte[] ReadMessage { get; }

    /// <summary>Read Tag Fragmented, one element; the last four bytes are the offset to read from.</summary>
    public byte[] FragmentMessage { get; }

    /// <summary>Bytes the reply takes if the tag has the configured type; even, as controllers align packed replies.</summary>
    public int ReplyLength { get; }

    private ByteBuilder Message(byte service) =>
        new ByteBuilder().Byte(service).Byte(Address.Path.Length / 2).Bytes(Address.Path).UInt16(1);

    private static int DataLength(TagType type, TagAddress address) =>
        type == TagType.String ? HandleField + CipType.StringSize
        : address.Bit is null ? CipType.Size(CipType.Code(type))
        : CipType.Size(CipType.Lword);
}
