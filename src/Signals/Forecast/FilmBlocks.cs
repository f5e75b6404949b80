using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Signals.Forecast;

/// <summary>Cuts the readings into <see cref="FilmBlock"/>s. O(1) a reading, memory fixed.</summary>
/// <param name="pollSeconds">Time between two reads when all goes well, s.</param>
internal sealed class FilmBlocks(double pollSeconds)
{
    /// <summary>No block is shorter, s.</summary>
    public const double ShortestSeconds = 1;

    /// <summary>Length of a block where the cycle rate is unknown, s: whole cycles at 30, 60, 90 and 120 a minute.</summary>
    private const double UnknownCycleSeconds = 2;

    /// <summary>A gap in the readings longer than this starts a fresh block, s.</summary>
    private const double LongestGapSeconds = 0.5;

    private double _start = double.NaN;
    private double _last;
    private double _end;
    private int _count;
    private int _still;
    private double _firstFill;
    private double _fillBefore;
    private double _fill;
    private double _lowest;
    private double _highest;
    private double _heldFull;
    private double _heldEmpty;
    private double _unwind;
    private double _lowestUnwind;
    private double _highestUnwind;
    private double _command;
    private double _lowestCommand;
    private double _highestCommand;
    private double _line;
    private double _brake;
    private readonly Roughness _roughness = new(pollSeconds);

    /// <summary>Length of a block at a cycle rate, s.</summary>
    /// <param name="cyclesPerMinute">Cycle rate; NaN or 0 where unknown.</param>
    public static double LengthSeconds(double cyclesPerMinute)
    {
        double cycle = 60 / cyclesPerMinute;
        return cycle is > 0.05 and < 15
            ? cycle * Math.Ceiling(ShortestSeconds / cycle - 1e-9)
            : UnknownCycleSeconds;
    }

    public void Reset() => _start = double.NaN;

    /// <summary>Takes a reading with a finite fill.</summary>
    /// <param name="cyclesPerMinute">Read or seen; NaN where neither.</param>
    /// <returns>True when it closed <paramref name="block"/>.</returns>
    public bool Add(
        double seconds,
        double fill,
        HeldExtremes held,
        in Reading reading,
        double cyclesPerMinute,
        out FilmBlock block
    )
    {
        bool closed = false;
        block = default;
        if (double.IsNaN(_start) || seconds - _last > LongestGapSeconds)
        {
            Open(seconds, fill, cyclesPerMinute);
            _roughness.Break();
            _fillBefore = fill;
        }
        else if (seconds >= _end && _count >= 3)
        {
            block = Close(fill);
            closed = true;
            Open(seconds, fill, cyclesPerMinute);
        }
        _last = seconds;
        _count++;
        if (fill == _fillBefore)
            _still++;
        _roughness.Add(seconds, fill);
        _fillBefore = fill;
        _fill += fill;
        _lowest = Math.Min(_lowest, fill);
        _highest = Math.Max(_highest, fill);
        _heldFull = Larger(_heldFull, held.HeldFull);
        _heldEmpty = -Larger(-_heldEmpty, -held.HeldEmpty);
        double unwind = reading[Signal.UnwindSpeed];
        _unwind += unwind;
        _lowestUnwind = Math.Min(_lowestUnwind, unwind);
        _highestUnwind = Math.Max(_highestUnwind, unwind);
        double command = reading[Signal.UnwindCommand];
        _command += command;
        _lowestCommand = Math.Min(_lowestCommand, command);
        _highestCommand = Math.Max(_highestCommand, command);
        _line += reading[Signal.LineSpeed];
        _brake += reading[Signal.BrakeOn];
        return closed;
    }

    private void Open(double seconds, double fill, double cyclesPerMinute)
    {
        _start = seconds;
        _end = seconds + LengthSeconds(cyclesPerMinute);
        _firstFill = fill;
        _count = _still = 0;
        _fill = _unwind = _command = _line = _brake = 0;
        _roughness.Clear();
        _lowest = _lowestUnwind = _lowestCommand = double.PositiveInfinity;
        _highest = _highestUnwind = _highestCommand = double.NegativeInfinity;
        _heldFull = _heldEmpty = double.NaN;
    }

    private FilmBlock Close(double fillNow) =>
        new(
            _last,
            _end - _start,
            _fill / _count,
            fillNow - _firstFill,
            _lowest,
            _highest,
            _heldFull,
            _heldEmpty,
            _unwind / _count,
            _lowestUnwind,
            _highestUnwind,
            _command / _count,
            _highestCommand - _lowestCommand,
            _line / _count,
            _roughness.Percent,
            (double)_still / _count,
            _brake / _count,
            _count
        );

    /// <summary>The larger of two, the known one where one is NaN.</summary>
    private static double Larger(double a, double b) => !(b > a) && !double.IsNaN(a) ? a : b;
}
