using System.Text;

namespace Dancerwatch.VirtualMachine.Tags;

/// <summary>The tags of the controller or of one of its programs, in the order they were added.</summary>
internal sealed class TagScope
{
    private readonly List<Tag> _tags = [];

    public IReadOnlyList<Tag> Tags => _tags;

    public Tag Add(string name, DataType type, int length)
    {
        Tag tag = new(name, (uint)_tags.Count + 1, type, length);
        _tags.Add(tag);
        return tag;
    }

    public Tag? Find(string name) =>
        _tags.Find(tag => tag.Name.Equals(name, StringComparison.OrdinalIgnoreCase));

    // A hall has some dozens of tags: a walk over them costs less than a dictionary keyed by bytes would explain.
    public Tag? Find(ReadOnlySpan<byte> asciiName)
    {
        foreach (Tag tag in _tags)
        {
            if (Ascii.EqualsIgnoreCase(asciiName, tag.Name))
                return tag;
        }
        return null;
    }

    public Tag? Find(uint id) => id >= 1 && id <= _tags.Count ? _tags[(int)id - 1] : null;
}
