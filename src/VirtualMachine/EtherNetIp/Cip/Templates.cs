using System.Text;
using Dancerwatch.VirtualMachine.Tags;

namespace Dancerwatch.VirtualMachine.EtherNetIp.Cip;

/// <summary>How a structure is described to clients.</summary>
/// <param name="Id">Instance of the template object, 12 bits.</param>
/// <param name="Handle">Sum over the definition, sent with each read: a client knows by it whether its template still holds.</param>
/// <param name="Definition">Members (info, type, offset), then names, each ended by a zero.</param>
internal sealed record Template(StructureType Type, ushort Id, ushort Handle, byte[] Definition)
{
    private const int WordBytes = 4;

    /// <summary>Attribute 4 counts this much more than there is to read.</summary>
    private const int UnreadableBytes = 23;

    /// <summary>Size as attribute 4 gives it, in words of four bytes.</summary>
    public uint DefinitionWords => (uint)((Definition.Length + UnreadableBytes + WordBytes - 1) / WordBytes);
}

/// <summary>Numbers the structures in use; equal ones share a template. Use under the table's lock.</summary>
internal sealed class Templates
{
    private const ushort StringId = 0x0FCE;
    private const ushort StringHandle = 0x0FCE;
    private const ushort FirstId = 0x0100;
    private const ushort StructureBit = 0x8000;
    private const ushort ArrayBit = 0x2000;

    private readonly Dictionary<StructureType, Template> _known = [];
    private readonly List<Template> _templates = [];

    public Template Of(StructureType structure)
    {
        if (_known.TryGetValue(structure, out Template? template))
            return template;
        template = _templates.Find(other => other.Type.Members.SequenceEqual(structure.Members));
        if (template is null)
        {
            byte[] definition = Define(structure);
            bool isString = ReferenceEquals(structure, StructureType.String);
            ushort id = isString ? StringId : (ushort)(FirstId + _templates.Count);
            template = new(structure, id, isString ? StringHandle : Crc16(definition), definition);
            _templates.Add(template);
        }
        _known[structure] = template;
        return template;
    }

    public Template? Find(uint id) => _templates.Find(template => template.Id == id);

    /// <summary>Type of a symbol or member as the symbol and template objects give it.</summary>
    public ushort TypeCode(DataType type, int length)
    {
        int code = type is StructureType structure
            ? StructureBit | Of(structure).Id
            : ((ElementaryType)type).Code;
        return (ushort)(length > 0 ? code | ArrayBit : code);
    }

    private byte[] Define(StructureType structure)
    {
        using MemoryStream stream = new();
        using BinaryWriter writer = new(stream);
        foreach (Member member in structure.Members)
        {
            writer.Write((ushort)(member.Length > 0 ? member.Length : member.Bit));
            writer.Write(TypeCode(member.Type, member.Length));
            writer.Write((uint)member.Offset);
        }
        writer.Write(Encoding.ASCII.GetBytes($"{structure.Name};n\0"));
        foreach (Member member in structure.Members)
            writer.Write(Encoding.ASCII.GetBytes($"{member.Name}\0"));
        return stream.ToArray();
    }

    // CRC-16, reflected polynomial 0xA001. Clients only compare handles, so any good sum does.
    private static ushort Crc16(ReadOnlySpan<byte> bytes)
    {
        int crc = 0;
        foreach (byte value in bytes)
        {
            crc ^= value;
            for (int bit = 0; bit < 8; bit++)
                crc = (crc & 1) != 0 ? (crc >> 1) ^ 0xA001 : crc >> 1;
        }
        return (ushort)crc;
    }
}
