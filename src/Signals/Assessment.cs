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
    public ref readonly FillEstimate Fill => ref FillNow;
    public ref readonly RegimeEstimate Regime => ref RegimeNow;
    public BandEstimate OneMinute { get; internal set; }
    public BandEstimate FifteenMinutes { get; internal set; }
    public BandEstimate EightHours { get; internal set; }
    public ref readonly OscillationEstimate Oscillation => ref OscillationNow;
    public ref readonly RollEstimate Roll => ref RollNow;
    public MarginEstimate Margin { get; internal set; }
    public ForecastEstimate Forecast { get; internal set; }
    public FilmPathEstimate FilmPath { get; internal set; }
    public CauseRanking Causes { get; internal set; }

    /// <summary>Conditions raised, changed or cleared by this very reading; empty almost always.</summary>
    public IReadOnlyList<ConditionTransition> Transitions { get; internal set; } = [];

    // What steps hand on to one another at every reading lies open, so that it is looked at in place: handed on as values, a
    // reading copied 128 bytes of oscillation five times.
    internal FillEstimate FillNow;
    internal RegimeEstimate RegimeNow;
    internal OscillationEstimate OscillationNow;
    internal RollEstimate RollNow;

    /// <summary>Carries what is looked at more seldom than at every reading.</summary>
    internal void Keep(Ledger ledger)
    {
        ledger.Open("Asmt"u8);
        Ticks = ledger.Ticks(Ticks);
        Quality = ledger.Keep(Quality, Quality.Bad);
        FillNow = ledger.Keep(FillNow);
        RegimeNow = ledger.Keep(RegimeNow);
        OneMinute = ledger.Keep(OneMinute);
        FifteenMinutes = ledger.Keep(FifteenMinutes);
        EightHours = ledger.Keep(EightHours);
        OscillationNow = ledger.Keep(OscillationNow);
        RollNow = ledger.Keep(RollNow);
        Margin = ledger.Keep(Margin);
        Forecast = ledger.Keep(Forecast);
        FilmPath = ledger.Keep(FilmPath);
        Causes = ledger.Keep(Causes);
    }
}
