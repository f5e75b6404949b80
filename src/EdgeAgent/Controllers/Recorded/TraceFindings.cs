namespace Dancerwatch.EdgeAgent.Controllers.Recorded;

/// <summary>Something that is wrong with a trace, told once however often it occurs.</summary>
/// <param name="What">What is wrong, and what was done about it.</param>
/// <param name="Count">How often.</param>
/// <param name="Line">Line of the first one, counted from 1.</param>
/// <param name="Example">The first one.</param>
public sealed record TraceFinding(string What, long Count, long Line, string Example)
{
    public override string ToString() =>
        $"{What}: {(Count == 1 ? "once," : $"{Count} times, first")} on line {Line} ({Example})";
}

/// <summary>Everything that is wrong with a trace, counted by kind. Kinds are few, so it stays small on the worst of files.</summary>
public sealed class TraceFindings
{
    private readonly Dictionary<string, TraceFinding> _byWhat = [];

    /// <summary>In the order in which they first occurred.</summary>
    public IReadOnlyCollection<TraceFinding> All => _byWhat.Values;

    internal void Add(string what, long line, string example)
    {
        _byWhat[what] = _byWhat.TryGetValue(what, out TraceFinding? finding)
            ? finding with
            {
                Count = finding.Count + 1,
            }
            : new TraceFinding(what, 1, line, example);
    }
}
