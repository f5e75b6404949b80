using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Signals.Survey.Steps;

/// <summary>How far a travel has come.</summary>
public enum TravelState
{
    NoReadings,

    /// <summary>The gap has not changed by a tenth of the span.</summary>
    NotMoved,

    /// <summary>It has not been at both ends, or not come back to rest.</summary>
    OnTheWay,

    /// <summary>It was at both ends and rests where it began.</summary>
    Done,
}

/// <summary>
/// Watches a dancer that a person lets through its travel. Done once it was at one end, at the other, at the first again, and
/// rests. Which end is which, film tells later.
/// </summary>
public sealed class TravelWatch(double gapAtEmpty, double gapAtFull, double step)
{
    /// <summary>It rests, when it has moved by less than 1 % for so long, s.</summary>
    private const double RestSeconds = 2;

    private const double RestPercent = 1;

    /// <summary>An end counts as reached this near, %.</summary>
    private const double EndPercent = 1;

    private const double MovedPercent = 10;

    private readonly List<Reading> _readings = [];
    private int _legs;
    private bool _startsAtFull;
    private long _restTicks;
    private double _restPercent = double.NaN;

    /// <summary>How far it has been, % between the ends as held; NaN before the first reading.</summary>
    public double LowestPercent { get; private set; } = double.NaN;

    /// <inheritdoc cref="LowestPercent"/>
    public double HighestPercent { get; private set; } = double.NaN;

    /// <summary>Where it is, %.</summary>
    public double Percent { get; private set; } = double.NaN;

    public TravelState State { get; private set; } = TravelState.NoReadings;

    public void Next(in Reading reading)
    {
        double percent = 100 * (reading[Signal.Gap] - gapAtEmpty) / (gapAtFull - gapAtEmpty);
        if (State == TravelState.Done)
            return;
        _readings.Add(reading);
        if (!double.IsFinite(percent))
            return;
        Percent = percent;
        if (!(LowestPercent <= percent))
            LowestPercent = percent;
        if (!(HighestPercent >= percent))
            HighestPercent = percent;
        bool isAtEmpty = percent <= EndPercent;
        bool isAtFull = percent >= 100 - EndPercent;
        if (_legs == 0)
            _startsAtFull = isAtFull;
        if (_legs % 2 == 0 == _startsAtFull ? isAtFull : isAtEmpty)
            _legs = Math.Min(_legs + 1, 3);
        if (!(Math.Abs(percent - _restPercent) <= RestPercent))
            (_restTicks, _restPercent) = (reading.Ticks, percent);
        bool rests = reading.Ticks - _restTicks >= RestSeconds * TimeSpan.TicksPerSecond;
        State =
            _legs == 3 && rests ? TravelState.Done
            : HighestPercent - LowestPercent < MovedPercent ? TravelState.NotMoved
            : TravelState.OnTheWay;
    }

    /// <summary>What was measured; null where too little was read.</summary>
    public Travel? Measure() => Travel.Of(_readings, gapAtEmpty, gapAtFull, step);
}
