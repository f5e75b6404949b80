using Dancerwatch.Signals;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Recognition;

namespace Dancerwatch.EdgeAgent.Discovery;

/// <summary>
/// Chooses among candidates: by name, then by what they held. A choice needs a reason that no other candidate has as well;
/// where there is none, nothing is proposed and the reason is told.
/// </summary>
internal sealed class Proposer(LiveValues live)
{
    // Points: a name that says it is worth as much as a name that may say it, with values that bear it out.
    private const int StrongName = 4;
    private const int WeakName = 2;
    private const int ValuesSpeakForIt = 2;
    private const int Enough = 4;

    /// <summary>Of those that look alike a person reads a few.</summary>
    private const int MostRemarks = 20;

    private sealed record Scored(Candidate Candidate, SeriesTraits Seen, int Points, string Why)
    {
        public string Name => Candidate.Tag.Name;
    }

    public ControllerProposal Propose(MachineGroups groups)
    {
        List<MachineProposal> machines = [];
        List<string> remarks = [];
        List<string> idle = [];
        foreach (MachineGroup group in groups.Machines)
        {
            if (group.Candidates.All(candidate => live.Of(candidate) is { Least: 0, Greatest: 0 }))
            {
                idle.Add($"'{group.Key}'");
                continue;
            }
            MachineProposal machine = ProposeMachine(group.Key, group.Candidates);
            if (MachineGroups.Required.All(signal => machine.Find(signal) is not null))
                machines.Add(machine);
            else
                remarks.Add(Incomplete(machine));
        }
        if (idle.Count > 0)
            remarks.Add(
                $"{string.Join(", ", idle)}: all that is named as a machine's is 0, as in a place that is not in use."
            );
        if (groups.Beyond > 0)
            remarks.Add($"{groups.Beyond} machines beyond the first {groups.Machines.Count} are left out.");
        remarks.AddRange(groups.Homeless.Take(MostRemarks).Select(Homeless));
        if (groups.Homeless.Count > MostRemarks)
            remarks.Add(
                $"{groups.Homeless.Count - MostRemarks} more like these are not told: the list of tags (--list) has them."
            );
        return new ControllerProposal(machines, remarks);
    }

    private static string Incomplete(MachineProposal machine)
    {
        IEnumerable<string> missing = machine
            .LeftOut.Where(one => MachineGroups.Required.Contains(one.Signal))
            .Select(one => $"{one.Signal.Code()}: {one.Why}");
        return $"'{machine.Name}' is left out: {string.Join(" ", missing)}";
    }

    private MachineProposal ProposeMachine(string key, IReadOnlyList<Candidate> candidates)
    {
        Dictionary<Signal, List<Scored>> scored = [];
        List<LeftOut> leftOut = [];
        // The unwind's speed first: the others are seen beside it.
        SeriesTraits unwind = default;
        foreach (Signal signal in Enum.GetValues<Signal>().OrderBy(signal => signal != Signal.UnwindSpeed))
        {
            List<Candidate> its = [.. candidates.Where(candidate => candidate.Signal == signal)];
            if (its.Count == 0)
                continue;
            List<Scored> fit = [];
            List<string> against = [];
            foreach (Candidate candidate in its)
            {
                (Scored? one, string? why) = Score(candidate, unwind);
                if (one is not null)
                    fit.Add(one);
                else
                    against.Add(why!);
            }
            if (fit.Count == 0)
                leftOut.Add(new LeftOut(signal, $"{string.Join("; ", against)}."));
            else
                scored[signal] = [.. fit.OrderByDescending(one => one.Points)];
            if (signal == Signal.UnwindSpeed && fit.Count > 0)
                unwind = scored[signal][0].Seen;
        }
        List<Proposed> chosen = [];
        foreach ((Signal signal, List<Scored> fit) in scored)
        {
            if (WhyNot(signal, fit, scored) is { } why)
                leftOut.Add(new LeftOut(signal, why));
            else
                chosen.Add(new Proposed(fit[0].Candidate, fit[0].Seen, fit[0].Why));
        }
        return new MachineProposal(
            key,
            [.. chosen.OrderBy(one => one.Candidate.Signal)],
            [.. leftOut.OrderBy(one => one.Signal)]
        );
    }

    private (Scored?, string?) Score(Candidate candidate, SeriesTraits unwind)
    {
        string name = candidate.Tag.Name;
        if (live.TroubleOf(candidate.Tag) is { } trouble)
            return (null, trouble.TrimEnd('.'));
        SeriesTraits seen = live.Of(candidate);
        bool isText = candidate.Tag.Type == Controllers.TagType.String;
        Likeness alone = isText
            ? new Likeness(Verdict.Silent, "is a text")
            : SignalLikeness.Of(candidate.Signal, seen);
        Likeness beside = SignalLikeness.Beside(candidate.Signal, seen, unwind);
        foreach (Likeness likeness in new[] { alone, beside })
        {
            if (likeness.Verdict == Verdict.Against)
                return (null, $"{name} {likeness.Reason}");
        }
        bool speaksForIt = alone.Verdict == Verdict.For || beside.Verdict == Verdict.For;
        int points =
            (candidate.Fit == NameFit.Strong ? StrongName : WeakName) + (speaksForIt ? ValuesSpeakForIt : 0);
        string why = string.Join(
            "; ",
            new[]
            {
                $"{(candidate.Fit == NameFit.Strong ? "named" : "perhaps named")} {candidate.Words}",
                alone.Reason,
                beside.Reason,
                UnitOf(candidate),
            }.Where(part => part.Length > 0)
        );
        return (new Scored(candidate, seen, points, why), null);
    }

    private static string UnitOf(Candidate candidate) =>
        candidate.Offset == 1 ? "released turned round to on by scale and offset"
        : candidate.Unit is { } unit ? $"in {unit} by its name"
        : UnitWords.Matters(candidate.Signal) ? "unit not told by its name"
        : "";

    /// <summary>Why the best is not good enough; null where it is.</summary>
    private static string? WhyNot(Signal signal, List<Scored> fit, Dictionary<Signal, List<Scored>> all)
    {
        Scored best = fit[0];
        if (best.Points < Enough)
            return $"{best.Name} may be meant ({best.Why}), which is not enough to tell.";
        string[] ties = [.. fit.Where(one => one.Points == best.Points).Select(one => one.Name)];
        if (ties.Length > 1)
            return $"{string.Join(" and ", ties)} fit alike ({best.Why}): choose one.";
        foreach ((Signal other, List<Scored> its) in all)
        {
            if (other != signal && its[0].Name == best.Name && its[0].Points >= best.Points)
                return $"{best.Name} fits {other.Code()} as well.";
        }
        return null;
    }

    private static string Homeless(MachineGroup group)
    {
        string[] tags =
        [
            .. group
                .Candidates.Select(candidate => $"{candidate.Tag.Name} ({candidate.Signal.Code()}?)")
                .Distinct(),
        ];
        const int Told = 4;
        string more = tags.Length > Told ? $" and {tags.Length - Told} more" : "";
        string missing = string.Join(
            " nor ",
            MachineGroups
                .Required.Where(signal => group.Candidates.All(candidate => candidate.Signal != signal))
                .Select(signal => signal.Code())
        );
        string whose = group.Key.Length == 0 ? "Tags of no machine" : $"'{group.Key}'";
        return $"{whose}: {string.Join(", ", tags.Take(Told))}{more}; no {missing} goes with them.";
    }
}
