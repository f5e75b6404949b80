using System.Text;
using Dancerwatch.VirtualMachine.Tags;

namespace Dancerwatch.VirtualMachine.EtherNetIp.Cip;

/// <summary>Where in a tag's bytes a path leads.</summary>
/// <param name="Length">Elements from here to the array's end; 1 where it is no array.</param>
/// <param name="Bit">Bit within the byte, of a BOOL.</param>
internal readonly record struct TagLocation(Tag Tag, DataType Type, int Offset, int Length, int Bit = 0);

/// <summary>Finds the value a path names: by symbols, or by instance of the symbol object, then members and one index each.</summary>
internal static class TagPath
{
    public static CipStatus TryFind(TagTable table, ReadOnlySpan<byte> path, out TagLocation location)
    {
        PathReader reader = new(path);
        location = default;
        CipStatus status = TryFindTag(table, ref reader, out Tag? tag);
        if (tag is null)
            return status;

        location = new(tag, tag.Type, 0, Math.Max(1, tag.Length));
        bool isArray = tag.Length > 0;
        while (!reader.AtEnd)
        {
            Segment segment = reader.Next();
            if (segment.Kind == SegmentKind.Member && isArray && segment.Number < location.Length)
            {
                int index = (int)segment.Number;
                location = location with
                {
                    Offset = location.Offset + (index * location.Type.Size),
                    Length = location.Length - index,
                };
                isArray = false;
            }
            else if (segment.Kind == SegmentKind.Symbol && Member(location.Type, segment.Text) is { } member)
            {
                location = location with
                {
                    Type = member.Type,
                    Offset = location.Offset + member.Offset,
                    Length = Math.Max(1, member.Length),
                    Bit = member.Bit,
                };
                isArray = member.Length > 0;
            }
            else
            {
                return segment.Kind is SegmentKind.Member or SegmentKind.Symbol
                    ? CipStatus.PathDestinationUnknown
                    : CipStatus.PathSegmentError;
            }
        }
        return CipStatus.Success;
    }

    /// <summary>The scope a path begins with: its program's, else the controller's. Null: no such program.</summary>
    public static TagScope? Scope(TagTable table, ref PathReader reader)
    {
        PathReader ahead = reader;
        Segment first = ahead.Next();
        int prefix = TagName.ProgramPrefix.Length;
        if (
            first.Kind != SegmentKind.Symbol
            || first.Text.Length <= prefix
            || !Ascii.EqualsIgnoreCase(first.Text[..prefix], TagName.ProgramPrefix)
        )
            return table.Controller;
        reader = ahead;
        foreach ((string program, TagScope scope) in table.Programs)
        {
            if (Ascii.EqualsIgnoreCase(first.Text[prefix..], program))
                return scope;
        }
        return null;
    }

    private static CipStatus TryFindTag(TagTable table, ref PathReader reader, out Tag? tag)
    {
        tag = null;
        TagScope? scope = Scope(table, ref reader);
        if (scope is null)
            return CipStatus.PathSegmentError;
        Segment segment = reader.Next();
        if (segment.Kind == SegmentKind.Symbol)
        {
            tag = scope.Find(segment.Text);
            return CipStatus.PathSegmentError;
        }
        if (segment is { Kind: SegmentKind.Class, Number: CipClass.Symbol })
        {
            segment = reader.Next();
            if (segment.Kind == SegmentKind.Instance)
            {
                tag = scope.Find(segment.Number);
                return CipStatus.PathDestinationUnknown;
            }
        }
        return CipStatus.PathSegmentError;
    }

    private static Member? Member(DataType type, ReadOnlySpan<byte> name) =>
        (type as StructureType)?.Find(name);
}
