using System.Globalization;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Fill;

namespace Dancerwatch.EdgeAgent.Commands.Checks;

/// <summary>Prints what a check saw, for a person.</summary>
internal static class CheckReport
{
    /// <returns>How many findings were printed.</returns>
    public static int Write(TextWriter output, ControllerSettings controller, ControllerCheck check)
    {
        string name = $"{controller.Name} at {controller.Host}:{controller.Port}";
        double slowest = check.Slowest.TotalMilliseconds;
        int findings = 0;
        output.WriteLine(
            string.Create(
                CultureInfo.InvariantCulture,
                $"{name}: {check.Reads} reads, the slowest in {slowest:0.0} ms"
            )
        );
        if (check.Failed > 0)
        {
            findings++;
            output.WriteLine($"  LOOK  {check.Failed} reads brought nothing: {check.Trouble!.TrimEnd('.')}.");
        }
        if (slowest > controller.PollMilliseconds)
        {
            findings++;
            output.WriteLine(
                $"  LOOK  A read takes longer than pollMilliseconds ({controller.PollMilliseconds}): polls will be missed. Raise it, or read fewer tags."
            );
        }
        foreach (MachineCheck machine in check.Machines)
            findings += Write(output, machine);
        return findings;
    }

    private static int Write(TextWriter output, MachineCheck check)
    {
        output.WriteLine($"  {check.Machine.Name}");
        foreach (TagCheck tag in check.Tags)
        {
            SignalSource source = tag.Source;
            string signal = double.IsNaN(check.Last[source.Signal])
                ? "-"
                : string.Create(
                    CultureInfo.InvariantCulture,
                    $"{check.Last[source.Signal]:0.###} {source.Signal.Unit()}"
                );
            output.WriteLine(
                $"    {source.Signal.Code(), -14}{signal.TrimEnd(), -16}{source.Tag.Name} {source.Tag.Type.ToString().ToUpperInvariant()} {tag.Held ?? "not read"}"
            );
        }
        FillEstimate fill = check.Fill;
        output.WriteLine(
            string.Create(
                CultureInfo.InvariantCulture,
                $"    fill          {fill.Percent:0.0} %  (0 % at a gap of {fill.GapAtEmpty}, 100 % at {fill.GapAtFull}; target {fill.TargetPercent} %)"
            )
        );
        foreach (string finding in check.Findings)
            output.WriteLine($"    LOOK  {finding}");
        return check.Findings.Count;
    }
}
