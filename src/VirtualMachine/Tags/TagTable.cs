namespace Dancerwatch.VirtualMachine.Tags;

/// <summary>
/// The tags of a virtual controller. The program that plays the machine adds tags once, keeps the handles, and sets
/// values each scan; whoever serves the table reads whole scans, never half of one. Thread-safe.
/// <para>
/// Names: <c>Counter</c>, <c>Tea1.DancerGap</c> (a member: the structure comes into being with its first member),
/// <c>Program:Main.Counter</c> (scope of a program). Case does not matter. Values start at zero.
/// </para>
/// </summary>
/// <example><code>
/// TagTable table = new();
/// TagCell&lt;short&gt; gap = table.AddInt("Tea1.DancerGap");
/// using (table.BeginScan())
///     gap.Value = 2048;
/// </code></example>
public sealed class TagTable
{
    private readonly Dictionary<string, TagScope> _programs = new(StringComparer.OrdinalIgnoreCase);

    /// <exception cref="PlatformNotSupportedException">The processor is big-endian: cells are kept as they go over the wire.</exception>
    public TagTable()
    {
        if (!BitConverter.IsLittleEndian)
            throw new PlatformNotSupportedException(
                "The virtual controller needs a little-endian processor."
            );
    }

    /// <summary>Held while values are set or read. Entering again on the same thread is free of harm.</summary>
    internal Lock Gate { get; } = new();

    /// <summary>Tags of the controller as a whole.</summary>
    internal TagScope Controller { get; } = new();

    internal IReadOnlyDictionary<string, TagScope> Programs => _programs;

    /// <summary>
    /// Starts a scan: until the result is disposed, on the same thread, readers wait, and then see all of it. Keep it short.
    /// </summary>
    public Lock.Scope BeginScan() => Gate.EnterScope();

    /// <summary>Adds a BOOL.</summary>
    /// <exception cref="ArgumentException">The name is malformed or taken. The same for every other tag.</exception>
    public TagCell<bool> AddBool(string name)
    {
        (Tag tag, int offset, int bit) = Add(name, ElementaryType.Bool);
        return new BitCell(this, tag, offset, bit);
    }

    public TagCell<sbyte> AddSint(string name) => AddNumber<sbyte>(name, ElementaryType.Sint);

    public TagCell<short> AddInt(string name) => AddNumber<short>(name, ElementaryType.Int);

    public TagCell<int> AddDint(string name) => AddNumber<int>(name, ElementaryType.Dint);

    public TagCell<long> AddLint(string name) => AddNumber<long>(name, ElementaryType.Lint);

    public TagCell<float> AddReal(string name) => AddNumber<float>(name, ElementaryType.Real);

    public TagCell<double> AddLreal(string name) => AddNumber<double>(name, ElementaryType.Lreal);

    /// <summary>Adds a STRING of up to 82 Latin-1 characters.</summary>
    public TagCell<string> AddString(string name)
    {
        (Tag tag, int offset, _) = Add(name, StructureType.String);
        return new StringCell(this, tag, offset);
    }

    /// <summary>Adds an array of BOOLs; the controller keeps and serves it as DWORDs of 32.</summary>
    public TagArray<bool> AddBools(string name, int length)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(length, 1);
        (Tag tag, int offset, _) = Add(name, ElementaryType.Dword, (length + 31) / 32);
        return new BitArrayCell(this, tag, offset, length);
    }

    public TagArray<sbyte> AddSints(string name, int length) =>
        AddNumbers<sbyte>(name, ElementaryType.Sint, length);

    public TagArray<short> AddInts(string name, int length) =>
        AddNumbers<short>(name, ElementaryType.Int, length);

    public TagArray<int> AddDints(string name, int length) =>
        AddNumbers<int>(name, ElementaryType.Dint, length);

    public TagArray<long> AddLints(string name, int length) =>
        AddNumbers<long>(name, ElementaryType.Lint, length);

    public TagArray<float> AddReals(string name, int length) =>
        AddNumbers<float>(name, ElementaryType.Real, length);

    public TagArray<double> AddLreals(string name, int length) =>
        AddNumbers<double>(name, ElementaryType.Lreal, length);

    private NumberCell<T> AddNumber<T>(string name, ElementaryType type)
        where T : unmanaged
    {
        (Tag tag, int offset, _) = Add(name, type);
        return new(this, tag, offset);
    }

    private NumberArray<T> AddNumbers<T>(string name, ElementaryType type, int length)
        where T : unmanaged
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(length, 1);
        (Tag tag, int offset, _) = Add(name, type, length);
        return new(this, tag, offset, length);
    }

    private (Tag Tag, int Offset, int Bit) Add(string fullName, DataType type, int length = 0)
    {
        TagName name = TagName.Parse(fullName);
        lock (Gate)
        {
            TagScope scope = name.Program is null ? Controller : ScopeOf(name.Program);
            Tag? tag = scope.Find(name.Tag);
            if (name.Member is null)
                return tag is null ? (scope.Add(name.Tag, type, length), 0, 0) : throw Taken(fullName);

            tag ??= scope.Add(name.Tag, StructureType.Empty(name.Tag), 0);
            if (tag.Type is not StructureType structure || structure == StructureType.String)
                throw new ArgumentException(
                    $"Tag '{fullName}' cannot be a member: '{name.Tag}' is already a {tag.Type.Name}, not a structure.",
                    nameof(fullName)
                );
            if (structure.Find(name.Member) is not null)
                throw Taken(fullName);
            Member member = tag.Grow(name.Member, type, length);
            return (tag, member.Offset, member.Bit);
        }
    }

    private TagScope ScopeOf(string program)
    {
        if (!_programs.TryGetValue(program, out TagScope? scope))
            _programs[program] = scope = new();
        return scope;
    }

    private static ArgumentException Taken(string name) =>
        new(
            $"Tag '{name}' is already in the table (case does not matter). Give each tag its own name.",
            nameof(name)
        );
}
