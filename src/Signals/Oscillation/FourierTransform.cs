namespace Dancerwatch.Signals.Oscillation;

/// <summary>
/// Power spectrum of a real series by a radix-2 fast Fourier transform (Cooley &amp; Tukey 1965), the series packed into
/// half as many complex numbers. All tables are made once; a transform allocates nothing.
/// </summary>
internal sealed class FourierTransform
{
    private readonly int _half;
    private readonly double[] _cos;
    private readonly double[] _sin;
    private readonly int[] _reversed;
    private readonly double[] _re;
    private readonly double[] _im;

    /// <param name="size">Length of the real series, a power of two of at least 8.</param>
    public FourierTransform(int size)
    {
        Size = size;
        _half = size / 2;
        _cos = new double[size];
        _sin = new double[size];
        for (int i = 0; i < size; i++)
            (_sin[i], _cos[i]) = Math.SinCos(2 * Math.PI * i / size);
        _re = new double[_half];
        _im = new double[_half];
        _reversed = new int[_half];
        int bits = int.Log2(_half);
        for (int i = 0; i < _half; i++)
        for (int b = 0; b < bits; b++)
            _reversed[i] |= ((i >> b) & 1) << (bits - 1 - b);
    }

    public int Size { get; }

    /// <summary>cos(2 pi i / Size), i = 0 ... Size - 1.</summary>
    public ReadOnlySpan<double> Cosines => _cos;

    /// <summary>|sum x_n e^(-2 pi i k n / Size)|^2 for k = 0 ... power.Length - 1; the series is padded with zeros to Size.</summary>
    /// <param name="series">At most Size values.</param>
    /// <param name="power">At most Size / 2 values.</param>
    public void Power(ReadOnlySpan<double> series, Span<double> power)
    {
        for (int i = 0; i < _half; i++)
        {
            int at = _reversed[i];
            _re[at] = 2 * i < series.Length ? series[2 * i] : 0;
            _im[at] = 2 * i + 1 < series.Length ? series[2 * i + 1] : 0;
        }
        Butterflies();
        Unpack(power);
    }

    private void Butterflies()
    {
        double[] re = _re;
        double[] im = _im;
        for (int length = 2; length <= _half; length <<= 1)
        {
            int reach = length >> 1;
            int stride = Size / length;
            for (int start = 0; start < _half; start += length)
            {
                for (int j = 0, w = 0; j < reach; j++, w += stride)
                {
                    int upper = start + j;
                    int lower = upper + reach;
                    double c = _cos[w];
                    double s = _sin[w];
                    double turnedRe = re[lower] * c + im[lower] * s;
                    double turnedIm = im[lower] * c - re[lower] * s;
                    re[lower] = re[upper] - turnedRe;
                    im[lower] = im[upper] - turnedIm;
                    re[upper] += turnedRe;
                    im[upper] += turnedIm;
                }
            }
        }
    }

    private void Unpack(Span<double> power)
    {
        for (int k = 0; k < power.Length; k++)
        {
            int mirror = k == 0 ? 0 : _half - k;
            double evenRe = 0.5 * (_re[k] + _re[mirror]);
            double evenIm = 0.5 * (_im[k] - _im[mirror]);
            double oddRe = 0.5 * (_im[k] + _im[mirror]);
            double oddIm = 0.5 * (_re[mirror] - _re[k]);
            double re = evenRe + oddRe * _cos[k] + oddIm * _sin[k];
            double im = evenIm + oddIm * _cos[k] - oddRe * _sin[k];
            power[k] = re * re + im * im;
        }
    }
}
