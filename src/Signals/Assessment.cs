using Dancerwatch.Signals.Bands;
using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.FilmPath;
using Dancerwatch.Signals.Forecast;
using Dancerwatch.Signals.Memory;
using Dancerwatch.Signals.Oscillation;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Regimes;
using Dancerwatch.Signals.Roll;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.Signals;

/// <summary>
/// What one reading says about a machine. One instance per machine, overwritten by each reading: copy what must outlive
/// the next call of <see cref="MachineAssessor.Process"/>.
/// </summary>
public sealed class Assessment
{
    /// <summary>Monotonic time of the reading, ticks of 100 ns.</summary>
    public long Ticks { get; internal set; }
    public Quality Quality { get; internal set; }
    public FillEstimate Fill { get; internal set; }
    public RegimeEstimate Regime { get; internal set; }
    public BandEstimate OneMinute { get; internal set; }
    public BandEstimate FifteenMinutes { get; internal set; }
    public BandEstimate EightHours { get; internal set; }
    public OscillationEstimate Oscillation { get; internal set; }
    public RollEstimate Roll { get; internal set; }
    public MarginEstimate Margin { get; internal set; }
    public ForecastEstimate Forecast { get; internal set; }
    public FilmPathEstimate FilmPath { get; internal set; }
    public CauseRanking Causes { get; internal set; }

    /// <summary>Conditions raised, changed or cleared by this very reading; empty almost always.</summary>
    public IReadOnlyList<ConditionTransition> Transitions { get; internal set; } = [];

    /// <summary>Carries what is looked at more seldom than at every reading.</summary>
    internal void Keep(Ledger ledger)
    {
        ledger.Open("Asmt"u8);
        Ticks = ledger.Ticks(Ticks);
        Quality = ledger.Keep(Quality, Quality.Bad);
        Fill = ledger.Keep(Fill);
        Regime = ledger.Keep(Regime);
        OneMinute = ledger.Keep(OneMinute);
        FifteenMinutes = ledger.Keep(FifteenMinutes);
        EightHours = ledger.Keep(EightHours);
        Oscillation = ledger.Keep(Oscillation);
        Roll = ledger.Keep(Roll);
        Margin = ledger.Keep(Margin);
        Forecast = ledger.Keep(Forecast);
        FilmPath = ledger.Keep(FilmPath);
        Causes = ledger.Keep(Causes);
    }
}
