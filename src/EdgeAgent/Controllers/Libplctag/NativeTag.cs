using Dancerwatch.EdgeAgent.Controllers.EtherNetIp;

namespace Dancerwatch.EdgeAgent.Controllers.Libplctag;

/// <summary>One tag as the native library is asked for it.</summary>
/// <param name="Tag">As configured.</param>
/// <param name="Address">Which bit of the answer is wanted, where one is.</param>
/// <param name="Name">The library's name for what is read: without a bit, and counted in words for an array of BOOLs.</param>
internal sealed record NativeTag(TagRequest Tag, TagAddress Address, string Name)
{
    private const int BoolsPerWord = 32;

    public static bool TryParse(TagRequest tag, out NativeTag? native, out string? problem)
    {
        native = null;
        if (!TagAddress.TryParse(tag, out TagAddress? address, out problem))
            return false;
        string name = tag.Name;
        if (address!.InBoolArray)
        {
            int at = name.LastIndexOf('[');
            name =
                $"{name[..at]}[{uint.Parse(name.AsSpan(at + 1, name.Length - at - 2), null) / BoolsPerWord}]";
        }
        else if (address.Bit is not null)
            name = name[..name.LastIndexOf('.')];
        native = new NativeTag(tag, address, name);
        return true;
    }

    /// <summary>Whether a value of so many bytes can be it. More cannot be told: the library does not tell types.</summary>
    public bool Fits(int bytes) =>
        Address.InBoolArray ? bytes == sizeof(uint)
        : Address.Bit is { } bit ? bytes is 1 or 2 or 4 or 8 && bit < 8 * bytes
        : bytes == Bytes;

    /// <summary>Bytes the value has if the tag has the configured type.</summary>
    public int Bytes =>
        Tag.Type == TagType.String ? CipType.StringSize
        : Address.InBoolArray ? sizeof(uint)
        : CipType.Size(CipType.Code(Tag.Type));

    /// <summary>Type code for the decoder; that of a bit's integer goes by its size.</summary>
    public ushort Code(int bytes) =>
        Address.InBoolArray ? CipType.Dword
        : Address.Bit is null ? CipType.Code(Tag.Type)
        : bytes switch
        {
            1 => CipType.Sint,
            2 => CipType.Int,
            4 => CipType.Dint,
            _ => CipType.Lint,
        };
}
