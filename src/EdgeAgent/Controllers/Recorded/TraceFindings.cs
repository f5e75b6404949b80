namespace Dancerwatch.EdgeAgent.Controllers.Recorded;

/// <summary>Something that is wrong with a trace, told once however often it occurs.</summary>
/// <param name="What">What is wrong, and what was done about it.</param>
/// <param name="Line">Line of the first one, counted from 1.</param>
/// <param name="Example">The first one.</param>
public sealed record TraceFinding(string What, long Line, string Example)
{
    /// <summary>How often.</summary>
    public long Count { get; internal set; } = 1;

    public override string ToString() =>
        $"{What}: {(Count == 1 ? "once," : $"{Count} times, first")} on line {Line} ({Example})";
}

/// <summary>Everything that is wrong with a trace, counted by kind. Kinds are few, so it stays small on the worst of files.</summary>
public sealed class TraceFindings
{
    private readonly Dictionary<string, TraceFinding> _byWhat = [];

    /// <summary>In the order in which they first occurred.</summary>
    public IReadOnlyCollection<TraceFinding> All => _byWhat.Values;

    /// <summary>Counts what was found before. Allocates nothing.</summary>
    /// <returns>False where it never was: then it is to be added, with an example.</returns>
    internal bool IsKnown(string what)
    {
        if (!_byWhat.TryGetValue(what, out TraceFinding? finding))
            return false;
        finding.Count++;
        return true;
    }

    internal void Add(string what, long line, string example) =>
        _byWhat.TryAdd(what, new TraceFinding(what, line, example));
}
