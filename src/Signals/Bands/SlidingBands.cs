using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Memory;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Signals.Bands;

/// <summary>
/// Percentiles of fill over the last minute, quarter of an hour and eight hours of running time, without rank error: for
/// each window the count of every gap code is kept, and the percentile is the fill of the gap with exactly that rank
/// (Hyndman and Fan 1996, type 1).
/// <para>
/// What is kept is gaps, not fills: where the dancer was. After new set points the windows say where that lies on the new
/// scale; after a new product call <see cref="Reset"/>. A gap is exact where it is a whole number of resolution steps above
/// the lowest gap, as counts are; else it is off by half a step at most.
/// </para>
/// <para>
/// A window's old end moves in slices of running time, so that it spans between a slice less than its length and its
/// length: slices of 0.1 s, in eight hours of 2 min. Readings that are NaN, infinite, outside the sensor's range, or not
/// later than the one before are not counted. Should readings come faster than the poll, the windows may be shorter.
/// </para>
/// <para>
/// Cost: about 18 additions a reading, 7 searches of some 30 steps an estimate, and a few steps a reading for what enters the
/// eight hours' memory and leaves it; nothing allocated after construction. Memory: in a quarter of an hour 2 B a poll and
/// 2 B a slice, in eight hours 1 bit a poll and 30 B a code, 4 B a code and window, and 12 B a code for the blocks on their
/// way: 0.5 MB at 20 ms and 12 bits (<see cref="MemoryBytes"/>). Not
/// thread-safe.
/// </para>
/// </summary>
public sealed class SlidingBands
{
    private const double SliceSeconds = 0.1;
    private const int SlicesPerMinute = 600;
    private const int QuarterMinutes = 15;

    /// <summary>Readings there is room for however seldom the polls.</summary>
    private const int SpareReadings = 1_024;

    /// <summary>Different gaps that can be told apart: those of 16 bits.</summary>
    public const int MostCodes = ushort.MaxValue + 1;

    private static readonly long s_sliceTicks = (long)(SliceSeconds * TimeSpan.TicksPerSecond);

    private readonly FillScale _scale;
    private readonly double _gapMinimum;
    private readonly double _gapMaximum;
    private readonly double _gapResolution;
    private readonly int _codes;
    private readonly RunningTime _time;
    private readonly ReadingRing _ring;
    private readonly BandWindow _minute;
    private readonly BandWindow _quarter;
    private readonly LongWindow _shift;
    private long _sliceEnds = s_sliceTicks;

    /// <param name="fill">The gap's range and resolution.</param>
    /// <param name="scale">Turns gaps into fills, by the set points of the latest reading.</param>
    /// <param name="pollSeconds">Time between two reads when all goes well, s. Sizes the windows.</param>
    /// <exception cref="ArgumentException">The gap has too many codes, or the poll is no time.</exception>
    public SlidingBands(FillSettings fill, FillScale scale, double pollSeconds)
    {
        ArgumentNullException.ThrowIfNull(fill);
        ArgumentNullException.ThrowIfNull(scale);
        Demand.That(
            pollSeconds is >= 0.001 and <= 60,
            nameof(pollSeconds),
            pollSeconds,
            "0.001 to 60",
            "Try 0.02."
        );
        _scale = scale;
        (_gapMinimum, _gapMaximum, _gapResolution) = (fill.GapMinimum, fill.GapMaximum, fill.GapResolution);
        double codes = Math.Round((_gapMaximum - _gapMinimum) / _gapResolution) + 1;
        Demand.That(
            codes <= MostCodes,
            nameof(fill.GapResolution),
            _gapResolution,
            $"at most {MostCodes} steps from GapMinimum ({_gapMinimum}) to GapMaximum ({_gapMaximum})",
            $"Try {(_gapMaximum - _gapMinimum) / 4095}, which is 12 bits."
        );

        _codes = (int)codes;
        // Polls jitter: a little room for more of them than there should be.
        double polls = 1.01 * SlicesPerMinute * SliceSeconds / pollSeconds;
        _ring = new ReadingRing(
            (int)(QuarterMinutes * polls) + SpareReadings,
            QuarterMinutes * SlicesPerMinute
        );
        _time = new RunningTime(pollSeconds);
        _minute = new BandWindow(_ring, (int)codes, SlicesPerMinute);
        _quarter = new BandWindow(_ring, (int)codes, QuarterMinutes * SlicesPerMinute);
        _shift = new LongWindow(_ring, (int)codes, (int)(LongWindow.BlockMinutes * polls) + 2);
    }

    /// <summary>Percentiles over the last minute of running time; computed when asked for.</summary>
    public BandEstimate OneMinute => Estimate(_minute.Counts);

    /// <summary>Percentiles over the last quarter of an hour of running time; computed when asked for.</summary>
    public BandEstimate FifteenMinutes => Estimate(_quarter.Counts);

    /// <summary>Percentiles over the last eight hours of running time; computed when asked for.</summary>
    public BandEstimate EightHours => Estimate(_shift.Counts);

    /// <summary>Memory held, B, from construction on.</summary>
    public long MemoryBytes => _ring.Bytes + _minute.Counts.Bytes + _quarter.Counts.Bytes + _shift.Bytes;

    /// <summary>Counts the gap of a reading taken while running. The scale must have seen the reading before.</summary>
    public void Add(in Reading reading) => Add(reading.Ticks, reading[Signal.Gap]);

    /// <summary>Forgets all readings: a new product, say, makes what was usual before no measure.</summary>
    public void Reset()
    {
        OpenSlice();
        _minute.Clear();
        _quarter.Clear();
        _shift.Clear();
    }

    /// <summary>Forgets the last minute only: a trip ended it, and the longer windows remember the way there.</summary>
    public void ForgetMinute()
    {
        OpenSlice();
        _minute.Clear();
    }

    internal void Add(long ticks, double gap)
    {
        bool isGap = gap >= _gapMinimum && gap <= _gapMaximum;
        if (!isGap || !_time.StepTo(ticks))
            return;
        for (; _time.Ticks >= _sliceEnds; _sliceEnds += s_sliceTicks)
            OpenSlice();
        if (!_ring.HasRoom)
            return;
        ushort code = (ushort)Math.Round((gap - _gapMinimum) / _gapResolution);
        _minute.Add(code);
        _quarter.Add(code);
        _ring.Add(code);
        _shift.Add(code);
    }

    /// <summary>Carries all windows; percentiles after it are those of before.</summary>
    internal void Keep(Ledger ledger)
    {
        ledger.Open("Band"u8);
        _time.Keep(ledger);
        _ring.Keep(ledger, _codes);
        _minute.Keep(ledger);
        _quarter.Keep(ledger);
        _shift.Keep(ledger);
        _sliceEnds = ledger.Keep(_sliceEnds);
        Ledger.Demand(
            _time.Ticks is >= 0 and < long.MaxValue / 2 && _sliceEnds >= _time.Ticks - s_sliceTicks,
            "running time ran backwards"
        );
    }

    private BandEstimate Estimate(GapCounts counts) =>
        BandEstimate.Of(counts, _scale, _gapMinimum, _gapResolution);

    private void OpenSlice()
    {
        _minute.Expire();
        _quarter.Expire();
        _ring.OpenSlice();
        if (_ring.Slice % (LongWindow.BlockMinutes * SlicesPerMinute) == 0)
            _shift.NextBlock();
    }
}
