using System.Globalization;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Recognition;

namespace Dancerwatch.EdgeAgent.Discovery;

/// <summary>A proposed machine as its lines of a first configuration.</summary>
internal sealed class FirstMachine
{
    private const double TwelveBits = 4095;
    private const double SixteenBits = 65_535;

    /// <summary>Of a gap that is no whole number: fine enough for mm, and coarse enough for any range of 16 bits.</summary>
    private const double FineResolution = 0.1;

    private readonly MachineProposal _machine;
    private readonly TagPattern[] _patterns;

    /// <param name="empty">Set point to take where no tag gives one, counts; null for none.</param>
    /// <param name="full">The same, when full.</param>
    public FirstMachine(MachineProposal machine, double? empty, double? full)
    {
        _machine = machine;
        _patterns = [.. machine.Signals.Select(one => TagPattern.Of(one.Candidate.Tag.Name))];
        string[] own = [.. _patterns.Select(pattern => pattern.Own).OfType<string>().Distinct()];
        // Where the tags spell their machine in different ways, they share no pattern.
        Own = own.Length == 1 ? own[0] : null;
        (double Empty, double Full)? tags = (machine.Find(Signal.GapAtEmpty), machine.Find(Signal.GapAtFull))
            is ({ } atEmpty, { } atFull)
            ? (atEmpty.Seen.Mean, atFull.Seen.Mean)
            : null;
        SetPoints =
            tags ?? (empty is { } givenEmpty && full is { } givenFull ? (givenEmpty, givenFull) : null);
        if (
            SetPoints is { } points
            && Math.Abs(points.Full - points.Empty) < FillScale.FewestSteps * Resolution
        )
            SetPoints = null;
        Signature = string.Join(
            '\n',
            machine.Signals.Select((one, i) => Line(one, _patterns[i].Pattern)).Prepend(GapRange())
        );
    }

    public string Name => _machine.Name;

    public MachineProposal Machine => _machine;

    /// <summary>Its own words in the names of its tags; null where they are not the same in all.</summary>
    public string? Own { get; }

    /// <summary>Gap when empty and when full, counts; null where nobody knows, or both are the same.</summary>
    public (double Empty, double Full)? SetPoints { get; }

    /// <summary>The same for machines that one template suits.</summary>
    public string Signature { get; }

    private SeriesTraits Gap => _machine.Find(Signal.Gap)!.Seen;

    private double Resolution => Gap.IsWhole ? 1 : FineResolution;

    /// <summary>Signals and what is left out, each with its reason behind it.</summary>
    /// <param name="asPattern">For a template.</param>
    public IEnumerable<string> SignalLines(bool asPattern)
    {
        int column = _machine.Signals.Select((one, i) => Line(one, Tag(i, asPattern)).Length).Max() + 1;
        yield return "\"signals\": {";
        for (int i = 0; i < _machine.Signals.Count; i++)
            yield return $"  {Line(_machine.Signals[i], Tag(i, asPattern)).PadRight(column)} // {_machine.Signals[i].Why}";
        foreach (LeftOut one in _machine.LeftOut)
            yield return $"  // {one.Signal.Code()} is left out: {one.Why}";
        yield return "},";
    }

    /// <summary>Set points and range of the sensor.</summary>
    public string DancerLine() =>
        SetPoints is { } points
            ? Invariant(
                $"\"dancer\": {{ \"gapAtEmptyCounts\": {points.Empty:0.###}, \"gapAtFullCounts\": {points.Full:0.###}{GapRange()} }},"
            )
            : $"\"dancer\": {{ \"gapAtEmptyCounts\": ?, \"gapAtFullCounts\": ?{GapRange()} }},";

    private string Tag(int signal, bool asPattern) =>
        asPattern ? _patterns[signal].Pattern : _machine.Signals[signal].Candidate.Tag.Name;

    // What is left out keeps its usual value: steps of 1 from 0 to 4095.
    private string GapRange()
    {
        double highest = Math.Max(Gap.Greatest, Math.Max(SetPoints?.Empty ?? 0, SetPoints?.Full ?? 0));
        string range = highest > TwelveBits ? Invariant($", \"gapMaximumCounts\": {SixteenBits}") : "";
        return Gap.IsWhole
            ? range
            : Invariant($", \"gapResolutionCounts\": {(highest > TwelveBits ? 1 : FineResolution)}{range}");
    }

    private static string Line(Proposed one, string tag)
    {
        Candidate candidate = one.Candidate;
        string scale = candidate.Scale == 1 ? "" : Invariant($", \"scale\": {candidate.Scale}");
        string offset = candidate.Offset == 0 ? "" : Invariant($", \"offset\": {candidate.Offset}");
        return $"\"{candidate.Signal.Code()}\": {{ \"tag\": \"{tag}\", \"type\": \"{candidate.Tag.Type.ToString().ToUpperInvariant()}\"{scale}{offset} }},";
    }

    private static string Invariant(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
