using System.Numerics;

namespace Dancerwatch.Signals.Oscillation;

/// <summary>
/// Spectrum of a real series by a radix-2 fast Fourier transform (Cooley &amp; Tukey 1965), the series packed into
/// half as many complex numbers. All tables are made once; a transform allocates nothing.
/// </summary>
internal sealed class FourierTransform
{
    private readonly int _half;
    private readonly double[] _cos;
    private readonly double[] _sin;

    /// <summary>The angles of the stage of butterflies that reach r apart stand at r ... 2 r - 1.</summary>
    private readonly double[] _stageCos;
    private readonly double[] _stageSin;
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
        _stageCos = new double[_half];
        _stageSin = new double[_half];
        for (int reach = 1; reach < _half; reach <<= 1)
        for (int j = 0; j < reach; j++)
            (_stageSin[reach + j], _stageCos[reach + j]) = Math.SinCos(Math.PI * j / reach);
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
        Transform(series);
        for (int k = 0; k < power.Length; k++)
        {
            (double re, double im) = Line(k);
            power[k] = re * re + im * im;
        }
    }

    /// <summary>sum x_n e^(-2 pi i k n / Size) for k = 0 ... re.Length - 1; the series is padded with zeros to Size.</summary>
    /// <param name="series">At most Size values.</param>
    /// <param name="re">Real parts, at most Size / 2.</param>
    /// <param name="im">Imaginary parts, as many.</param>
    public void Lines(ReadOnlySpan<double> series, Span<double> re, Span<double> im)
    {
        Transform(series);
        for (int k = 0; k < re.Length; k++)
            (re[k], im[k]) = Line(k);
    }

    private void Transform(ReadOnlySpan<double> series)
    {
        if (series.Length > _half)
            FirstTwoStages(series);
        else
            FirstTwoStagesOfPadded(series);
        for (int reach = 4; reach < _half; reach <<= 1)
        {
            if (reach % Vector<double>.Count == 0)
                TurnSeveral(reach);
            else
                Turn(reach);
        }
    }

    /// <summary>Butterflies that reach 1 and 2 apart need no angles but 0 and -90 degrees.</summary>
    private void FirstTwoStages(ReadOnlySpan<double> series)
    {
        for (int i = 0; i < _half; i += 4)
        {
            (double re0, double im0) = Pair(series, _reversed[i]);
            (double re1, double im1) = Pair(series, _reversed[i + 1]);
            (double re2, double im2) = Pair(series, _reversed[i + 2]);
            (double re3, double im3) = Pair(series, _reversed[i + 3]);
            SetFour(
                i,
                (re0 + re1, im0 + im1),
                (re0 - re1, im0 - im1),
                (re2 + re3, im2 + im3),
                (re2 - re3, im2 - im3)
            );
        }
    }

    /// <summary>The same of a series that ends before the middle: of each four numbers the second and the last are 0.</summary>
    private void FirstTwoStagesOfPadded(ReadOnlySpan<double> series)
    {
        for (int i = 0; i < _half; i += 4)
        {
            (double, double) early = Pair(series, _reversed[i]);
            (double, double) late = Pair(series, _reversed[i + 2]);
            SetFour(i, early, early, late, late);
        }
    }

    private static (double Re, double Im) Pair(ReadOnlySpan<double> series, int i) =>
        (2 * i < series.Length ? series[2 * i] : 0, (2 * i) + 1 < series.Length ? series[(2 * i) + 1] : 0);

    /// <summary>The second stage of four numbers, from sums and differences of the first.</summary>
    private void SetFour(
        int at,
        (double Re, double Im) sum,
        (double Re, double Im) less,
        (double Re, double Im) otherSum,
        (double Re, double Im) otherLess
    )
    {
        Span<double> re = _re.AsSpan(at, 4);
        Span<double> im = _im.AsSpan(at, 4);
        (re[0], im[0]) = (sum.Re + otherSum.Re, sum.Im + otherSum.Im);
        (re[1], im[1]) = (less.Re + otherLess.Im, less.Im - otherLess.Re);
        (re[2], im[2]) = (sum.Re - otherSum.Re, sum.Im - otherSum.Im);
        (re[3], im[3]) = (less.Re - otherLess.Im, less.Im + otherLess.Re);
    }

    /// <summary>(upper, lower) = (upper + lower e^-iw, upper - lower e^-iw) for each of the stage's angles w.</summary>
    private void Turn(int reach)
    {
        for (int start = 0; start < _half; start += 2 * reach)
        for (int j = 0; j < reach; j++)
        {
            int upper = start + j;
            int lower = upper + reach;
            (double cos, double sin) = (_stageCos[reach + j], _stageSin[reach + j]);
            double turnedRe = _re[lower] * cos + _im[lower] * sin;
            double turnedIm = _im[lower] * cos - _re[lower] * sin;
            (_re[lower], _im[lower]) = (_re[upper] - turnedRe, _im[upper] - turnedIm);
            (_re[upper], _im[upper]) = (_re[upper] + turnedRe, _im[upper] + turnedIm);
        }
    }

    /// <summary>
    /// The same, several angles at once, each set of them for all its butterflies: <paramref name="reach"/> is a multiple of
    /// how many.
    /// </summary>
    private void TurnSeveral(int reach)
    {
        int width = Vector<double>.Count;
        for (int j = 0; j < reach; j += width)
        {
            Vector<double> cos = new(_stageCos, reach + j);
            Vector<double> sin = new(_stageSin, reach + j);
            for (int upper = j; upper < _half; upper += 2 * reach)
            {
                int lower = upper + reach;
                Vector<double> re = new(_re, lower);
                Vector<double> im = new(_im, lower);
                Vector<double> turnedRe = re * cos + im * sin;
                Vector<double> turnedIm = im * cos - re * sin;
                re = new(_re, upper);
                im = new(_im, upper);
                (re - turnedRe).CopyTo(_re, lower);
                (im - turnedIm).CopyTo(_im, lower);
                (re + turnedRe).CopyTo(_re, upper);
                (im + turnedIm).CopyTo(_im, upper);
            }
        }
    }

    /// <summary>Line k of the series, unpacked from the half as many complex numbers.</summary>
    private (double Re, double Im) Line(int k)
    {
        int mirror = k == 0 ? 0 : _half - k;
        double evenRe = 0.5 * (_re[k] + _re[mirror]);
        double evenIm = 0.5 * (_im[k] - _im[mirror]);
        double oddRe = 0.5 * (_im[k] + _im[mirror]);
        double oddIm = 0.5 * (_re[mirror] - _re[k]);
        return (evenRe + oddRe * _cos[k] + oddIm * _sin[k], evenIm + oddIm * _cos[k] - oddRe * _sin[k]);
    }
}
