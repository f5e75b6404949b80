using Dancerwatch.Signals.Memory;
using Dancerwatch.Signals.Oscillation;

namespace Dancerwatch.Signals.FilmPath;

/// <summary>
/// Spectra of two series side by side and their magnitude-squared coherence
/// <c>C(f) = |S_xy|^2 / (S_xx S_yy)</c>: averaged over half overlapping segments, straight line taken out of each, Hann
/// taper (Welch 1967; Carter, Knapp &amp; Nuttall 1973). Keeps the newest segments; each carries its time.
/// </summary>
/// <remarks>
/// A sample costs O(1), but for one in half a segment, which brings two Fourier transforms and the sums anew (about 40 us
/// for 512 samples). Memory: 16 bytes a line and segment, 56 kB for the 27 segments of a quarter of an hour.
/// </remarks>
internal sealed class WelchCoherence
{
    private readonly int _segments;
    private readonly FourierTransform _transform;
    private readonly double[] _taper;
    private readonly double[] _x;
    private readonly double[] _y;
    private readonly double[] _work;
    private readonly double[] _re;
    private readonly double[] _im;
    private readonly Segment[] _ring;
    private readonly double[] _powerX;
    private readonly double[] _powerY;
    private readonly double[] _coherence;
    private int _filled;
    private int _next;
    private double _energy;

    /// <param name="length">Samples a segment, a power of two of at least 8.</param>
    /// <param name="lines">Lines of the spectrum that are kept, from 0 on; at most half as many as samples.</param>
    /// <param name="segments">Segments kept.</param>
    public WelchCoherence(int length, int lines, int segments)
    {
        _segments = segments;
        _transform = new FourierTransform(length);
        _taper = new double[length];
        for (int i = 0; i < length; i++)
        {
            _taper[i] = 0.5 - (0.5 * Math.Cos(2 * Math.PI * i / length));
            _energy += _taper[i] * _taper[i];
        }
        _x = new double[length];
        _y = new double[length];
        _work = new double[length];
        _re = new double[lines];
        _im = new double[lines];
        _powerX = new double[lines];
        _powerY = new double[lines];
        _coherence = new double[lines];
        _ring = new Segment[segments];
        for (int i = 0; i < segments; i++)
            _ring[i] = new Segment(lines);
    }

    /// <summary>Segments that the sums hold.</summary>
    public int Count { get; private set; }

    /// <summary>Mean |X|^2 over the taper's energy, line by line.</summary>
    public ReadOnlySpan<double> PowerX => _powerX;

    /// <summary>Mean |Y|^2 over the taper's energy, line by line.</summary>
    public ReadOnlySpan<double> PowerY => _powerY;

    /// <summary>0 to 1, line by line; 0 where there is no power. With one segment it is 1 everywhere and says nothing.</summary>
    public ReadOnlySpan<double> Coherence => _coherence;

    /// <summary>The next samples do not follow on those before; segments that were complete stay.</summary>
    public void Break() => _filled = 0;

    /// <summary>Takes a sample of each series.</summary>
    /// <returns>True where a segment is complete: the caller may <see cref="Keep(double, double)"/> it before the next sample.</returns>
    public bool Add(double x, double y)
    {
        int length = _x.Length;
        if (_filled == length)
        {
            // Half of a segment is the first half of the next.
            int half = length / 2;
            _x.AsSpan(half).CopyTo(_x);
            _y.AsSpan(half).CopyTo(_y);
            _filled = half;
        }
        _x[_filled] = x;
        _y[_filled++] = y;
        return _filled == length;
    }

    /// <summary>Adds the segment just completed to those kept.</summary>
    /// <param name="seconds">Its time, s.</param>
    /// <param name="oldestSeconds">Segments older than this no longer count, s.</param>
    public void Keep(double seconds, double oldestSeconds)
    {
        Segment segment = _ring[_next];
        _next = _next + 1 == _segments ? 0 : _next + 1;
        segment.Seconds = seconds;
        Fill(_x, segment.XRe, segment.XIm);
        Fill(_y, segment.YRe, segment.YIm);
        Sum(oldestSeconds);
    }

    /// <summary>Carries the segments that are complete.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Wlch"u8);
        foreach (Segment segment in _ring)
        {
            segment.Seconds = ledger.Seconds(segment.Seconds);
            ledger.Keep(segment.XRe.AsSpan());
            ledger.Keep(segment.XIm.AsSpan());
            ledger.Keep(segment.YRe.AsSpan());
            ledger.Keep(segment.YIm.AsSpan());
        }
        ledger.Keep(_powerX.AsSpan());
        ledger.Keep(_powerY.AsSpan());
        ledger.Keep(_coherence.AsSpan());
        _next = ledger.Keep(_next, 0, _segments - 1);
        Count = ledger.Keep(Count, 0, _segments);
        if (ledger.Restores)
            Break();
    }

    private void Fill(double[] samples, float[] re, float[] im)
    {
        samples.CopyTo(_work, 0);
        TakeOutLine(_work);
        for (int i = 0; i < _work.Length; i++)
            _work[i] *= _taper[i];
        _transform.Lines(_work, _re, _im);
        for (int k = 0; k < re.Length; k++)
            (re[k], im[k]) = ((float)_re[k], (float)_im[k]);
    }

    private static void TakeOutLine(Span<double> samples)
    {
        double middle = 0.5 * (samples.Length - 1);
        (double mean, double slope, double spread) = (0, 0, 0);
        for (int i = 0; i < samples.Length; i++)
        {
            mean += samples[i] / samples.Length;
            slope += (i - middle) * samples[i];
            spread += (i - middle) * (i - middle);
        }
        slope /= spread;
        for (int i = 0; i < samples.Length; i++)
            samples[i] -= mean + slope * (i - middle);
    }

    private void Sum(double oldestSeconds)
    {
        Count = 0;
        Array.Clear(_powerX);
        Array.Clear(_powerY);
        Array.Clear(_re);
        Array.Clear(_im);
        foreach (Segment s in _ring)
        {
            if (s.Seconds < oldestSeconds)
                continue;
            Count++;
            for (int k = 0; k < _re.Length; k++)
            {
                _powerX[k] += (double)s.XRe[k] * s.XRe[k] + (double)s.XIm[k] * s.XIm[k];
                _powerY[k] += (double)s.YRe[k] * s.YRe[k] + (double)s.YIm[k] * s.YIm[k];
                _re[k] += (double)s.XRe[k] * s.YRe[k] + (double)s.XIm[k] * s.YIm[k];
                _im[k] += (double)s.XIm[k] * s.YRe[k] - (double)s.XRe[k] * s.YIm[k];
            }
        }
        for (int k = 0; k < _re.Length; k++)
        {
            double both = _powerX[k] * _powerY[k];
            _coherence[k] = both > 0 ? (_re[k] * _re[k] + _im[k] * _im[k]) / both : 0;
            _powerX[k] /= Count * _energy;
            _powerY[k] /= Count * _energy;
        }
    }

    private sealed class Segment(int lines)
    {
        public double Seconds = double.NegativeInfinity;
        public readonly float[] XRe = new float[lines];
        public readonly float[] XIm = new float[lines];
        public readonly float[] YRe = new float[lines];
        public readonly float[] YIm = new float[lines];
    }
}
