using System.Globalization;
using System.Text.RegularExpressions;

namespace Dancerwatch.EdgeAgent.Controllers.EtherNetIp;

/// <summary>Where a tag lies: the path to ask for, and the bit of the answer where a single bit is wanted.</summary>
/// <param name="Path">Symbolic path: a segment for each member, an element segment for each index.</param>
/// <param name="Bit">The wanted bit of the answer; null for the whole.</param>
/// <param name="InBoolArray">The bit is an element of a BOOL array, which controllers keep in DWORDs.</param>
internal sealed partial record TagAddress(byte[] Path, int? Bit, bool InBoolArray)
{
    private const int SymbolicSegment = 0x91;
    private const int ElementSegment8 = 0x28;
    private const int ElementSegment16 = 0x29;
    private const int ElementSegment32 = 0x2A;
    private const int BoolsPerWord = 32;
    private const int WidestInteger = 64;

    /// <summary>Finds the address of a tag.</summary>
    /// <param name="problem">One sentence that names the tag and what is wrong; null where nothing is.</param>
    public static bool TryParse(TagRequest tag, out TagAddress? address, out string? problem)
    {
        address = null;
        problem = null;
        string[] members = tag.Name.Split('.');
        int? bit = null;
        bool inBoolArray = false;
        if (members.Length > 1 && IsNumber(members[^1]))
        {
            if (tag.Type != TagType.Bool)
            {
                problem =
                    $"tag '{tag.Name}' is a single bit, so its type must be BOOL, not {CipType.Name(tag.Type)}";
                return false;
            }
            if (!TryNumber(members[^1], out uint number) || number >= WidestInteger)
            {
                problem =
                    $"tag '{tag.Name}' asks for bit {members[^1]}; integers have bits 0 to {WidestInteger - 1} at most";
                return false;
            }
            bit = (int)number;
            members = members[..^1];
        }

        ByteBuilder path = new();
        for (int i = 0; i < members.Length; i++)
        {
            Match match = Member.Match(members[i]);
            if (!match.Success || (i > 0 && members[i].Contains(':', StringComparison.Ordinal)))
            {
                problem = Malformed(tag.Name, members[i]);
                return false;
            }
            string name = match.Groups["name"].Value;
            path.Byte(SymbolicSegment).Byte(name.Length).Ascii(name).PadToEven();
            CaptureCollection indices = match.Groups["index"].Captures;
            foreach (Capture index in indices)
            {
                if (!TryNumber(index.Value, out uint element))
                {
                    problem = Malformed(tag.Name, members[i]);
                    return false;
                }
                bool last = i == members.Length - 1 && indices.Count == 1;
                if (last && tag.Type == TagType.Bool && bit is null)
                {
                    inBoolArray = true;
                    bit = (int)(element % BoolsPerWord);
                    element /= BoolsPerWord;
                }
                AppendElement(path, element);
            }
        }
        if (path.Length > 2 * byte.MaxValue)
        {
            problem =
                $"tag '{tag.Name}' is too long for a request: {path.Length} bytes of path, at most {2 * byte.MaxValue}";
            return false;
        }
        address = new TagAddress(path.ToArray(), bit, inBoolArray);
        return true;
    }

    private static void AppendElement(ByteBuilder path, uint element)
    {
        if (element <= byte.MaxValue)
            path.Byte(ElementSegment8).Byte((int)element);
        else if (element <= ushort.MaxValue)
            path.Byte(ElementSegment16).Byte(0).UInt16((int)element);
        else
            path.Byte(ElementSegment32).Byte(0).UInt32(element);
    }

    private static bool IsNumber(string text) => text.Length > 0 && text.All(char.IsAsciiDigit);

    private static bool TryNumber(string text, out uint number) =>
        uint.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out number);

    private static string Malformed(string tag, string member) =>
        $"tag '{tag}' cannot be a tag's name: '{member}' is not a name of letters, digits and underscores (40 at most) with indices as in 'Flags[3]'";

    // IEC 61131-3 identifiers; colons belong to 'Program:Name' and to module-defined tags as in 'Local:1:I'.
    [GeneratedRegex(
        @"^(?<name>[A-Za-z_][A-Za-z0-9_]{0,39}(:[A-Za-z0-9_]{1,40}){0,2})(\[(?<index>[0-9]+)(,(?<index>[0-9]+)){0,2}\])?\z",
        RegexOptions.CultureInvariant | RegexOptions.ExplicitCapture
    )]
    private static partial Regex Member { get; }
}
