using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Recognition;

namespace Dancerwatch.EdgeAgent.Discovery;

/// <summary>A tag proposed for a signal, and by what it is known.</summary>
internal sealed record Proposed(Candidate Candidate, SeriesTraits Seen, string Why);

/// <summary>A signal for which no tag is proposed, and why: a sentence that names the tags in question.</summary>
internal sealed record LeftOut(Signal Signal, string Why);

/// <summary>What was found of one machine.</summary>
/// <param name="Key">Words that its tags have in common.</param>
/// <param name="Signals">In the order of signals; at least the required ones.</param>
internal sealed record MachineProposal(
    string Key,
    IReadOnlyList<Proposed> Signals,
    IReadOnlyList<LeftOut> LeftOut
)
{
    public string Name =>
        Key.Length == 0 || char.IsAsciiDigit(Key[0])
            ? $"machine-{(Key.Length == 0 ? "1" : Key.Replace(' ', '-'))}"
            : Key.Replace(' ', '-');

    public Proposed? Find(Signal signal) => Signals.FirstOrDefault(one => one.Candidate.Signal == signal);
}

/// <summary>What was found of a controller.</summary>
/// <param name="Machines">Machines that can be watched.</param>
/// <param name="Remarks">What was taken for a part of a machine and belongs to none, and the like: one sentence each.</param>
internal sealed record ControllerProposal(
    IReadOnlyList<MachineProposal> Machines,
    IReadOnlyList<string> Remarks
);
