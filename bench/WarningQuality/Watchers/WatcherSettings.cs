using Dancerwatch.Signals;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Roll;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.Bench.WarningQuality.Watchers;

/// <summary>What an engineer would have told an agent about a machine: read off its panel and its sheet.</summary>
internal sealed class WatcherSettings(MachineParameters machine)
{
    public const double PollSeconds = 0.02;

    public double TripHoldSeconds => machine.TripHoldSeconds;
    public double LineMetersPerMinute => machine.LineMetersPerMinute;

    public MachineSettings Settings { get; } =
        new()
        {
            Fill = new FillSettings
            {
                GapAtEmpty = machine.GapAtEmptyCounts,
                GapAtFull = machine.GapAtFullCounts,
                TargetPercent = machine.TargetFillPercent,
                OvertravelPercent = machine.OvertravelPercent,
                TripHoldSeconds = machine.TripHoldSeconds,
                StorageMillimeters = machine.StorageMillimeters,
            },
            Roll = new RollSettings
            {
                CoreDiameterMillimeters = machine.CoreDiameterMillimeters,
                FilmThicknessMicrometers = machine.FilmThicknessMicrometers,
            },
            PollSeconds = PollSeconds,
        };
}
