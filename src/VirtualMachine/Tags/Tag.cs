namespace Dancerwatch.VirtualMachine.Tags;

/// <summary>One named cell of the controller: a single value, an array or a structure.</summary>
/// <param name="name">Name without its scope.</param>
/// <param name="id">Number within its scope, from 1: the instance of the symbol object.</param>
/// <param name="length">Elements of an array; 0 where the tag is none.</param>
internal sealed class Tag(string name, uint id, DataType type, int length)
{
    public string Name { get; } = name;
    public uint Id { get; } = id;
    public DataType Type { get; private set; } = type;
    public int Length { get; } = length;

    /// <summary>The value as it goes over the wire. Replaced when a structure grows; touch it under the table's lock only.</summary>
    public byte[] Bytes { get; private set; } = new byte[type.Size * Math.Max(1, length)];

    /// <summary>Adds a member to a structure; its values stay.</summary>
    public Member Grow(string member, DataType memberType, int memberLength)
    {
        StructureType grown = ((StructureType)Type).With(member, memberType, memberLength);
        byte[] bytes = new byte[grown.Size];
        Bytes.CopyTo(bytes, 0);
        (Type, Bytes) = (grown, bytes);
        return grown.Members[^1];
    }
}
