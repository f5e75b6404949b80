namespace Dancerwatch.EdgeAgent.Controllers.EtherNetIp;

/// <summary>Type codes in read replies (CIP volume 1, appendix C), and their IEC 61131-3 names.</summary>
internal static class CipType
{
    public const ushort Bool = 0xC1;
    public const ushort Sint = 0xC2;
    public const ushort Int = 0xC3;
    public const ushort Dint = 0xC4;
    public const ushort Lint = 0xC5;
    public const ushort Usint = 0xC6;
    public const ushort Uint = 0xC7;
    public const ushort Udint = 0xC8;
    public const ushort Ulint = 0xC9;
    public const ushort Real = 0xCA;
    public const ushort Lreal = 0xCB;
    public const ushort Byte = 0xD1;
    public const ushort Word = 0xD2;
    public const ushort Dword = 0xD3;
    public const ushort Lword = 0xD4;

    /// <summary>A structure; the next word is its handle.</summary>
    public const ushort Structure = 0x02A0;

    /// <summary>Handle of the controller's own STRING: a DINT length and 82 characters.</summary>
    public const ushort StringHandle = 0x0FCE;
    public const int StringCapacity = 82;

    /// <summary>Length, characters, and two bytes that fill the structure up to whole DINTs.</summary>
    public const int StringSize = 4 + StringCapacity + 2;

    /// <summary>The code a tag configured as <paramref name="type"/> must have.</summary>
    public static ushort Code(TagType type) =>
        type == TagType.String ? Structure : (ushort)(Bool + (type - TagType.Bool));

    /// <summary>Bytes of one value; 0 for types of no fixed size.</summary>
    public static int Size(ushort code) =>
        code switch
        {
            Bool or Sint or Usint or Byte => 1,
            Int or Uint or Word => 2,
            Dint or Udint or Real or Dword => 4,
            Lint or Ulint or Lreal or Lword => 8,
            _ => 0,
        };

    /// <summary>Whether single bits can be taken of it.</summary>
    public static bool HasBits(ushort code) => code is >= Sint and <= Ulint or >= Byte and <= Lword;

    public static string Name(TagType type) => Name(Code(type), StringHandle);

    /// <param name="code">Type code.</param>
    /// <param name="handle">Structure handle; read for structures only.</param>
    public static string Name(ushort code, ushort handle) =>
        code switch
        {
            Bool => "BOOL",
            Sint => "SINT",
            Int => "INT",
            Dint => "DINT",
            Lint => "LINT",
            Usint => "USINT",
            Uint => "UINT",
            Udint => "UDINT",
            Ulint => "ULINT",
            Real => "REAL",
            Lreal => "LREAL",
            Byte => "BYTE",
            Word => "WORD",
            Dword => "DWORD",
            Lword => "LWORD",
            Structure when handle == StringHandle => "STRING",
            Structure => $"a structure (handle 0x{handle:X4})",
            _ => $"of type 0x{code:X4}",
        };
}
