using Dancerwatch.Signals.Bands;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.FilmPath;
using Dancerwatch.Signals.Forecast;
using Dancerwatch.Signals.Oscillation;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Regimes;
using Dancerwatch.Signals.Roll;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.EdgeAgent.Watching;

/// <summary>A machine as of its last reading: a copy, for the retained states.</summary>
public sealed record MachineState
{
    public required MachinePlace Place { get; init; }

    /// <summary>When the reading was taken, ms since 1970-01-01 UTC.</summary>
    public required long Milliseconds { get; init; }
    public required Quality Quality { get; init; }
    public required FillEstimate Fill { get; init; }
    public required RegimeEstimate Regime { get; init; }
    public required BandEstimate OneMinute { get; init; }
    public required BandEstimate FifteenMinutes { get; init; }
    public required BandEstimate EightHours { get; init; }
    public required OscillationEstimate Oscillation { get; init; }
    public required RollEstimate Roll { get; init; }
    public required MarginEstimate Margin { get; init; }
    public required ForecastEstimate Forecast { get; init; }
    public required FilmPathEstimate FilmPath { get; init; }

    /// <summary>The conditions raised now.</summary>
    public required IReadOnlyList<OpenCondition> Open { get; init; }
}

/// <summary>A condition that is raised.</summary>
/// <param name="SinceMilliseconds">When it was raised, ms since 1970-01-01 UTC.</param>
/// <param name="Latest">Its latest change.</param>
public readonly record struct OpenCondition(long SinceMilliseconds, ConditionTransition Latest);
