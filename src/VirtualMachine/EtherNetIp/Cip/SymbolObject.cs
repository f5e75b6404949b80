using System.Text;
using Dancerwatch.VirtualMachine.Tags;

namespace Dancerwatch.VirtualMachine.EtherNetIp.Cip;

/// <summary>
/// Symbol object (class 0x6B): one instance per tag of a scope, listed by Get Instance Attribute List from the instance in
/// the path on. Programs stand in the controller's list as <c>Program:Name</c>, with the system bit (from memory).
/// </summary>
internal static class SymbolObject
{
    /// <summary>System symbol (bit 12) of a program.</summary>
    private const ushort ProgramType = 0x1068;

    /// <summary>Programs come after any number of tags.</summary>
    private const uint FirstProgramId = 0x8000;
    private const byte ReadOnlyAccess = 2;

    /// <summary>Nobody needs one twice, and the longest symbol must fit what lies behind a reply's limit.</summary>
    private const int MostAttributes = 10;

    // Attributes. Addresses and software control are the controller's own business: zero here.
    private const ushort Name = 1;
    private const ushort Type = 2;
    private const ushort Address = 3;
    private const ushort ObjectAddress = 5;
    private const ushort SoftwareControl = 6;
    private const ushort ElementBytes = 7;
    private const ushort Dimensions = 8;
    private const ushort ExternalAccess = 10;

    private readonly record struct Symbol(uint Id, string Name, ushort Type, int ElementBytes, int Length);

    public static CipStatus List(
        TagTable table,
        Templates templates,
        CipRequest request,
        ref ByteWriter reply
    )
    {
        PathReader path = new(request.Path);
        TagScope? scope = TagPath.Scope(table, ref path);
        if (scope is null)
            return CipStatus.PathSegmentError;
        path.Next(); // the class, which led here
        Segment instance = path.Next();
        if (path.IsBroken || !path.AtEnd || instance.Kind is not (SegmentKind.Instance or SegmentKind.None))
            return CipStatus.PathSegmentError;

        ByteReader data = new(request.Data);
        ushort count = data.UInt16();
        ReadOnlySpan<byte> attributes = data.Take(count * sizeof(ushort));
        if (data.RanOut || count == 0)
            return CipStatus.NotEnoughData;
        if (!data.Left.IsEmpty || count > MostAttributes)
            return CipStatus.TooMuchData;

        foreach (Tag tag in scope.Tags)
        {
            if (tag.Id < instance.Number)
                continue;
            Symbol symbol = new(
                tag.Id,
                tag.Name,
                templates.TypeCode(tag.Type, tag.Length),
                tag.Type.Size,
                tag.Length
            );
            CipStatus status = Add(symbol, attributes, ref reply);
            if (status != CipStatus.Success)
                return status;
        }
        return scope == table.Controller
            ? ListPrograms(table, instance.Number, attributes, ref reply)
            : CipStatus.Success;
    }

    private static CipStatus ListPrograms(
        TagTable table,
        uint from,
        ReadOnlySpan<byte> attributes,
        ref ByteWriter reply
    )
    {
        uint id = FirstProgramId;
        foreach (string program in table.Programs.Keys)
        {
            if (id >= from)
            {
                Symbol symbol = new(id, TagName.ProgramPrefix + program, ProgramType, 0, 0);
                CipStatus status = Add(symbol, attributes, ref reply);
                if (status != CipStatus.Success)
                    return status;
            }
            id++;
        }
        return CipStatus.Success;
    }

    // A symbol goes in whole or not at all.
    private static CipStatus Add(Symbol symbol, ReadOnlySpan<byte> attributes, ref ByteWriter reply)
    {
        ByteWriter entry = new(reply.Rest, reply.Room);
        entry.UInt32(symbol.Id);
        ByteReader ids = new(attributes);
        while (!ids.Left.IsEmpty)
        {
            if (!TryAdd(symbol, ids.UInt16(), ref entry))
                return CipStatus.AttributeNotSupported;
        }
        if (entry.IsOverLimit)
            return CipStatus.PartialTransfer;
        reply.Skip(entry.Length);
        return CipStatus.Success;
    }

    private static bool TryAdd(Symbol symbol, ushort attribute, ref ByteWriter entry)
    {
        switch (attribute)
        {
            case Name:
                entry.UInt16((ushort)symbol.Name.Length);
                entry.Skip(Encoding.ASCII.GetBytes(symbol.Name, entry.Rest));
                return true;
            case Type:
                entry.UInt16(symbol.Type);
                return true;
            case Address or ObjectAddress or SoftwareControl:
                entry.UInt32(0);
                return true;
            case ElementBytes:
                entry.UInt16((ushort)symbol.ElementBytes);
                return true;
            case Dimensions:
                entry.UInt32((uint)symbol.Length);
                entry.UInt32(0);
                entry.UInt32(0);
                return true;
            case ExternalAccess:
                entry.Byte(ReadOnlyAccess);
                return true;
            default:
                return false;
        }
    }
}
