using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Roll;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.Signals;

/// <summary>Everything the mathematics must be told about one machine.</summary>
public sealed record MachineSettings
{
    public required FillSettings Fill { get; init; }
    public RollSettings Roll { get; init; } = new();
    public WarningSettings Warnings { get; init; } = new();

    /// <summary>Time between two reads when all goes well, s. Sizes the windows; readings may still come unevenly.</summary>
    public double PollSeconds { get; init; } = 0.02;
}
