using System.Text;

namespace Dancerwatch.VirtualMachine.Tags;

/// <summary>One member of a structure.</summary>
/// <param name="Offset">Byte within the structure.</param>
/// <param name="Length">Elements of an array; 0 where the member is none.</param>
/// <param name="Bit">Bit within its byte, for a BOOL; else 0.</param>
/// <param name="Hidden">A byte that only houses BOOLs: listed in the template, not meant for reading.</param>
internal sealed record Member(
    string Name,
    DataType Type,
    int Offset,
    int Length = 0,
    int Bit = 0,
    bool Hidden = false
)
{
    public int End => Offset + (Type.Size * Math.Max(1, Length));
}

/// <summary>
/// Members laid out as a Logix-class controller does: in order, each at a multiple of its own size, BOOLs packed eight
/// to a hidden byte, the whole padded to four bytes, or eight with a 64-bit member (from memory).
/// </summary>
internal sealed record StructureType(string Name, IReadOnlyList<Member> Members, int Size, int Alignment)
    : DataType(Name, Size, Alignment)
{
    private const int BoolsPerHost = 8;

    /// <summary>Prefix of the hidden bytes' names, which sort last and cannot be confused with a user's.</summary>
    private const string HostPrefix = "ZZZZZZZZZZ";

    /// <summary>The controller's predefined text type: a length, and room for 82 characters.</summary>
    public static readonly StructureType String = new StructureType("STRING", [], 0, 4)
        .With("LEN", ElementaryType.Dint)
        .With("DATA", ElementaryType.Sint, TextCapacity);

    public const int TextCapacity = 82;
    public const int TextLengthOffset = 0;
    public const int TextDataOffset = 4;

    public static StructureType Empty(string name) => new(name, [], 0, 4);

    /// <summary>This structure with one more member at its end.</summary>
    public StructureType With(string name, DataType type, int length = 0)
    {
        if (type == ElementaryType.Bool)
            return WithBool(name);
        int end = Members.Count == 0 ? 0 : Members.Max(member => member.End);
        return Grown([new Member(name, type, RoundUp(end, type.Alignment), length)]);
    }

    public Member? Find(ReadOnlySpan<byte> asciiName)
    {
        foreach (Member member in Members)
        {
            if (!member.Hidden && Ascii.EqualsIgnoreCase(asciiName, member.Name))
                return member;
        }
        return null;
    }

    public Member? Find(string name) =>
        Members.FirstOrDefault(member => member.Name.Equals(name, StringComparison.OrdinalIgnoreCase));

    private StructureType WithBool(string name)
    {
        Member? last = Members.Count == 0 ? null : Members[^1];
        if (last is { Bit: < BoolsPerHost - 1 } && last.Type == ElementaryType.Bool)
            return Grown([new Member(name, ElementaryType.Bool, last.Offset, Bit: last.Bit + 1)]);
        int offset = Members.Count == 0 ? 0 : Members.Max(member => member.End);
        string host = $"{HostPrefix}{Members.Count}";
        return Grown([
            new Member(host, ElementaryType.Sint, offset, Hidden: true),
            new Member(name, ElementaryType.Bool, offset),
        ]);
    }

    private StructureType Grown(Member[] more)
    {
        int alignment = Math.Max(Alignment, more[0].Type.Alignment);
        Member[] members = [.. Members, .. more];
        return new(Name, members, RoundUp(members.Max(member => member.End), alignment), alignment);
    }

    private static int RoundUp(int value, int to) => (value + to - 1) / to * to;
}
