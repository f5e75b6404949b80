using Dancerwatch.Bench.WarningQuality.Runs;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Readings;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.Bench.WarningQuality.Watchers;

/// <summary>
/// What the simple watchers share: fill from the gap by the configured set points, an alarm for each side with an on-delay
/// of 1 s that clears when its reason has been gone as long, and silence while the machine is known to stand.
/// </summary>
internal abstract class FillAlarm(string name, Feed feed, FillSettings settings) : IWatcher
{
    private const double DelaySeconds = 1;

    private readonly FillScale _scale = new(settings);
    private readonly AlertBook _book = new(name);
    private Latch _full;
    private Latch _empty;
    private double _before = double.NaN;

    public Feed Feed => feed;
    public IReadOnlyList<AlertBook> Books => [_book];

    public void Take(in Reading reading, in FilmTruth truth)
    {
        double now = (double)reading.Ticks / TimeSpan.TicksPerSecond;
        double fill = _scale.Next(reading).Percent;
        if (!double.IsFinite(fill))
            return;
        double elapsed = double.IsNaN(_before) ? 0 : Math.Min(now - _before, DelaySeconds / 2);
        _before = now;
        bool stands = reading[Signal.Running] == 0;
        (bool full, bool empty) = stands ? Standing() : Judge(now, fill, reading[Signal.UnwindSpeed]);
        if (_full.Next(full, elapsed))
            _book.Note(new Alert(now, "full", Side.Full));
        if (_empty.Next(empty, elapsed))
            _book.Note(new Alert(now, "empty", Side.Empty));
    }

    /// <summary>Whether a running machine's reading speaks for an alarm on either side.</summary>
    protected abstract (bool Full, bool Empty) Judge(double now, double fill, double unwind);

    /// <summary>The machine stands.</summary>
    protected virtual (bool Full, bool Empty) Standing() => default;

    private struct Latch
    {
        private bool _isRaised;
        private double _held;

        /// <returns>True where this raises it.</returns>
        public bool Next(bool speaks, double elapsed)
        {
            _held = speaks == _isRaised ? 0 : _held + elapsed;
            if (_held < DelaySeconds)
                return false;
            _isRaised = !_isRaised;
            _held = 0;
            return _isRaised;
        }
    }
}
