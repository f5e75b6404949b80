using System.Buffers.Binary;
using System.Text;

namespace Dancerwatch.EdgeAgent.Controllers.EtherNetIp.Browsing;

/// <summary>One member of a structure.</summary>
/// <param name="Length">Elements of an array; 0 where it is none.</param>
internal readonly record struct TemplateMember(string Name, SymbolType Type, int Length);

/// <summary>How a structure is made (template object, class 0x6C; from memory, as <see cref="Symbol"/>).</summary>
internal sealed record Template(string Name, IReadOnlyList<TemplateMember> Members)
{
    public const ushort MemberCountAttribute = 2;
    public const ushort DefinitionWordsAttribute = 4;

    // Attribute 4 counts words of four bytes, and a header that is not read with them.
    private const int UnreadableBytes = 23;
    private const int WordBytes = 4;

    // Info (UINT), type (UINT), offset (UDINT).
    private const int MemberBytes = 8;
    private const int AttributeHead = 4;

    /// <summary>How many members a structure has, and how many bytes define it.</summary>
    /// <param name="data">Reply to Get Attribute List of the two: count, then id, status and value of each.</param>
    /// <returns>False where the controller does not give them.</returns>
    /// <exception cref="LinkException">It is no such reply, or tells of more than there can be.</exception>
    public static bool TryReadSize(ReadOnlySpan<byte> data, out int members, out int bytes)
    {
        (members, bytes) = (0, 0);
        if (data.Length < sizeof(ushort))
            throw Broken();
        int count = BinaryPrimitives.ReadUInt16LittleEndian(data);
        data = data[sizeof(ushort)..];
        uint words = 0;
        for (int i = 0; i < count; i++)
        {
            if (data.Length < AttributeHead)
                throw Broken();
            int attribute = BinaryPrimitives.ReadUInt16LittleEndian(data);
            if (BinaryPrimitives.ReadUInt16LittleEndian(data[sizeof(ushort)..]) != CipStatus.Success)
                return false;
            data = data[AttributeHead..];
            int size = attribute == MemberCountAttribute ? sizeof(ushort) : sizeof(uint);
            if (data.Length < size)
                throw Broken();
            if (attribute == MemberCountAttribute)
                members = BinaryPrimitives.ReadUInt16LittleEndian(data);
            else if (attribute == DefinitionWordsAttribute)
                words = BinaryPrimitives.ReadUInt32LittleEndian(data);
            else
                throw Broken();
            data = data[size..];
        }
        if (words > BrowseLimits.DefinitionBytes / WordBytes)
            throw BrowseRefusal.Because($"a structure that takes {words} words to define");
        bytes = ((int)words * WordBytes) - UnreadableBytes;
        return bytes > 0 && members > 0;
    }

    /// <param name="definition">Members' info, type and offset; then the structure's name and theirs, each ended by a zero.</param>
    /// <exception cref="LinkException">It does not hold together.</exception>
    public static Template Parse(ReadOnlySpan<byte> definition, int members)
    {
        if (definition.Length < members * MemberBytes)
            throw Broken();
        string[] names = Encoding.Latin1.GetString(definition[(members * MemberBytes)..]).Split('\0');
        if (names.Length <= members)
            throw Broken();
        TemplateMember[] found = new TemplateMember[members];
        for (int i = 0; i < members; i++)
        {
            ReadOnlySpan<byte> member = definition[(i * MemberBytes)..];
            SymbolType type = new(BinaryPrimitives.ReadUInt16LittleEndian(member[sizeof(ushort)..]));
            int length = type.Dimensions > 0 ? BinaryPrimitives.ReadUInt16LittleEndian(member) : 0;
            found[i] = new TemplateMember(names[i + 1], type, length);
        }
        // The name ends where the definition's own remarks begin.
        return new Template(names[0].Split(';')[0], found);
    }

    private static LinkException Broken() =>
        BrowseRefusal.Because("a definition of a structure that does not hold together");
}
