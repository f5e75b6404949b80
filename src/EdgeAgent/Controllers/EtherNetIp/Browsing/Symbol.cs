using System.Buffers.Binary;
using System.Text;

namespace Dancerwatch.EdgeAgent.Controllers.EtherNetIp.Browsing;

/// <summary>
/// An entry of a controller's list of symbols (class 0x6B; the public data-access manual of Logix-class controllers, from
/// memory; checked against the virtual controller, which an independent client browses).
/// </summary>
/// <param name="Id">Instance of the symbol object.</param>
/// <param name="Type">Type word, see <see cref="SymbolType"/>.</param>
/// <param name="Lengths">Elements of each dimension; empty where the controller does not tell.</param>
internal sealed record Symbol(uint Id, string Name, SymbolType Type, int[] Lengths)
{
    public const ushort NameAttribute = 1;
    public const ushort TypeAttribute = 2;
    public const ushort LengthsAttribute = 8;
    private const int MostDimensions = 3;

    /// <summary>The entries of one reply.</summary>
    /// <param name="data">Entry after entry: instance (UDINT), then the attributes asked for.</param>
    /// <param name="withLengths">Whether <see cref="LengthsAttribute"/> was asked for as well.</param>
    /// <exception cref="LinkException">It is no such list.</exception>
    public static List<Symbol> Parse(ReadOnlySpan<byte> data, bool withLengths)
    {
        List<Symbol> symbols = [];
        while (!data.IsEmpty)
        {
            if (data.Length < sizeof(uint) + sizeof(ushort))
                throw HalfOfOne();
            uint id = BinaryPrimitives.ReadUInt32LittleEndian(data);
            int nameLength = BinaryPrimitives.ReadUInt16LittleEndian(data[sizeof(uint)..]);
            data = data[(sizeof(uint) + sizeof(ushort))..];
            int rest = sizeof(ushort) + (withLengths ? MostDimensions * sizeof(uint) : 0);
            if (data.Length < nameLength + rest)
                throw HalfOfOne();
            string name = Encoding.Latin1.GetString(data[..nameLength]);
            SymbolType type = new(BinaryPrimitives.ReadUInt16LittleEndian(data[nameLength..]));
            int[] lengths = withLengths ? Dimensions(data[(nameLength + sizeof(ushort))..], type) : [];
            symbols.Add(new Symbol(id, name, type, lengths));
            data = data[(nameLength + rest)..];
        }
        return symbols;
    }

    private static int[] Dimensions(ReadOnlySpan<byte> data, SymbolType type)
    {
        int[] lengths = new int[type.Dimensions];
        for (int i = 0; i < lengths.Length; i++)
            lengths[i] = (int)
                Math.Min(BinaryPrimitives.ReadUInt32LittleEndian(data[(i * sizeof(uint))..]), int.MaxValue);
        return lengths;
    }

    private static LinkException HalfOfOne() => BrowseRefusal.Because("half an entry of a list of tags");
}

/// <summary>Type of a symbol or a structure's member: bit 15 a structure, 14 and 13 the number of dimensions, 12 the system's own.</summary>
internal readonly record struct SymbolType(ushort Word)
{
    public bool IsStructure => (Word & 0x8000) != 0;
    public bool IsSystem => (Word & 0x1000) != 0;
    public int Dimensions => (Word >> 13) & 0x03;

    /// <summary>Instance of the template object, of a structure.</summary>
    public ushort Template => (ushort)(Word & 0x0FFF);

    /// <summary>Type code of a value; the bits above it tell where a BOOL lies.</summary>
    public ushort Code => (ushort)(Word & 0x00FF);

    public bool IsString => IsStructure && Template == CipType.StringHandle;
}
