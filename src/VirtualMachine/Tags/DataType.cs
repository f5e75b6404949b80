namespace Dancerwatch.VirtualMachine.Tags;

/// <summary>What a tag, an array's element or a structure's member is made of.</summary>
/// <param name="Name">IEC 61131-3 name, or the structure's.</param>
/// <param name="Size">Bytes of one element, in memory and on the wire alike.</param>
/// <param name="Alignment">Offset in a structure is a multiple of this, bytes.</param>
internal abstract record DataType(string Name, int Size, int Alignment);

/// <summary>An elementary type.</summary>
/// <param name="Code">CIP elementary data type code (CIP volume 1, appendix C; from memory).</param>
internal sealed record ElementaryType(string Name, int Size, ushort Code) : DataType(Name, Size, Size)
{
    public static readonly ElementaryType Bool = new("BOOL", 1, 0xC1);
    public static readonly ElementaryType Sint = new("SINT", 1, 0xC2);
    public static readonly ElementaryType Int = new("INT", 2, 0xC3);
    public static readonly ElementaryType Dint = new("DINT", 4, 0xC4);
    public static readonly ElementaryType Lint = new("LINT", 8, 0xC5);
    public static readonly ElementaryType Real = new("REAL", 4, 0xCA);
    public static readonly ElementaryType Lreal = new("LREAL", 8, 0xCB);

    /// <summary>Thirty-two BOOLs of an array. A single BOOL is never kept so.</summary>
    public static readonly ElementaryType Dword = new("DWORD", 4, 0xD3);
}
