using Dancerwatch.Bench.WarningQuality.Runs;
using Dancerwatch.VirtualMachine.Faults;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.Bench.WarningQuality.Scenarios;

/// <summary>How a fault comes.</summary>
internal enum Pace
{
    /// <summary>There is none.</summary>
    None,

    /// <summary>It grows over minutes.</summary>
    Developing,

    /// <summary>It strikes within seconds.</summary>
    Sudden,
}

/// <summary>What goes wrong on a machine, if anything, and what its people do meanwhile.</summary>
/// <param name="Name">For the table.</param>
/// <param name="Fault">What goes wrong; null: nothing.</param>
/// <param name="Pace">How it comes.</param>
internal sealed record Scenario(string Name, Fault? Fault = null, Pace Pace = Pace.None)
{
    /// <summary>Mean time the machine runs between two stops, s; infinity: it is stopped for a new roll only.</summary>
    public double RunSeconds { get; init; } = double.PositiveInfinity;

    /// <summary>What is different about the machine.</summary>
    public Func<MachineParameters, Random, MachineParameters> Built { get; init; } =
        static (machine, _) => machine;

    /// <summary>How well it is read.</summary>
    public ReadQuality Reads { get; init; } = ReadQuality.Usual;

    /// <summary>What its people do at a time, called four times a second.</summary>
    public Action<Crew> Day { get; init; } = static _ => { };
}

/// <summary>What happens to reads on their way.</summary>
/// <param name="LossShare">Share that fails.</param>
/// <param name="LateShare">Share that bring values a poll old.</param>
/// <param name="StaleShare">Chance at each poll that the values stand still for the next <see cref="StalePolls"/>.</param>
internal readonly record struct ReadQuality(double LossShare, double LateShare, double StaleShare)
{
    public const int StalePolls = 10;

    public static ReadQuality Usual { get; } = new(0.005, 0.01, 0);
    public static ReadQuality Poor { get; } = new(0.02, 0.1, 0.002);
}
