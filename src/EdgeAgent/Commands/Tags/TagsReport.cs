using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Discovery;
using Dancerwatch.Signals;

namespace Dancerwatch.EdgeAgent.Commands.Tags;

/// <summary>Prints what a controller has and what is proposed, for a person.</summary>
internal static class TagsReport
{
    public static void WriteList(TextWriter output, BrowsedController found)
    {
        foreach (BrowsedTag tag in found.Tags)
            output.WriteLine($"{tag.Name}  {tag.TypeName}{Dimension(tag)}");
        WriteCount(output, found);
    }

    /// <returns>How many things are left for a person to look at.</returns>
    public static int Write(
        TextWriter output,
        BrowsedController found,
        ControllerProposal proposal,
        FirstConfiguration first
    )
    {
        WriteCount(output, found);
        int findings = 0;
        Dictionary<string, FirstMachine> told = [];
        foreach (FirstMachine machine in first.Machines)
        {
            if (machine.Own is not null && told.TryGetValue(machine.Signature, out FirstMachine? alike))
                output.WriteLine(
                    $"  {machine.Name}: as {alike.Name}, with {machine.Own} in place of {alike.Own}"
                );
            else
                WriteSignals(output, machine);
            told.TryAdd(machine.Signature, machine);
            foreach (LeftOut one in machine.Machine.LeftOut)
                output.WriteLine($"    LOOK  {one.Signal.Code()} is left out: {one.Why}");
            findings += machine.Machine.LeftOut.Count;
        }
        foreach (string remark in proposal.Remarks)
            output.WriteLine($"  LOOK  {remark}");
        foreach (FirstMachine machine in first.Unfinished)
            output.WriteLine(
                $"  LOOK  {machine.Name} is not watched yet: its two set points are not known. Give --gap-at-empty and --gap-at-full, or put them into the file."
            );
        findings += proposal.Remarks.Count + first.Unfinished.Count;
        output.WriteLine($"Machines proposed: {first.Watched.Count}; to look at: {findings}.");
        return findings;
    }

    private static void WriteSignals(TextWriter output, FirstMachine machine)
    {
        output.WriteLine($"  {machine.Name}");
        foreach (Proposed one in machine.Machine.Signals)
            output.WriteLine(
                $"    {one.Candidate.Signal.Code(), -14}{one.Candidate.Tag.Name} {one.Candidate.Tag.Type.ToString().ToUpperInvariant()}: {one.Why}"
            );
    }

    private static void WriteCount(TextWriter output, BrowsedController found)
    {
        output.WriteLine($"Tags: {found.Tags.Count}");
        foreach (string remark in found.Remarks)
            output.WriteLine($"  {remark}");
    }

    private static string Dimension(BrowsedTag tag) =>
        tag.Length switch
        {
            0 => "",
            < 0 => "[?]",
            _ => $"[{tag.Length}]",
        };
}
