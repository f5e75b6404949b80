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
        for (int i = 0; i < _half; i++)
        {
            int at = _reversed[i];
            _re[at] = 2 * i < series.Length ? series[2 * i] : 0;
            _im[at] = 2 * i + 1 < series.Length ? series[2 * i + 1] : 0;
        }
        Butterflies();
    }

    private void Butterflies()
    {
        FirstTwoStages();
        for (int reach = 4; reach < _half; reach <<= 1)
        {
            for (int start = 0; start < _half; start += 2 * reach)
            {
                Turn(
                    _re.AsSpan(start, reach),
                    _im.AsSpan(start, reach),
                    _re.AsSpan(start + reach, reach),
                    _im.AsSpan(start + reach, reach),
                    _stageCos.AsSpan(reach, reach),
                    _stageSin.AsSpan(reach, reach)
                );
            }
        }
    }

    /// <summary>Butterflies that reach 1 and 2 apart need no angles but 0 and -90 degrees.</summary>
    private void FirstTwoStages()
    {
        for (int i = 0; i < _half; i += 4)
        {
            Span<double> re = _re.AsSpan(i, 4);
            Span<double> im = _im.AsSpan(i, 4);
            (double sumRe, double sumIm) = (re[0] + re[1], im[0] + im[1]);
            (double lessRe, double lessIm) = (re[0] - re[1], im[0] - im[1]);
            (double otherSumRe, double otherSumIm) = (re[2] + re[3], im[2] + im[3]);
            (double otherLessRe, double otherLessIm) = (re[2] - re[3], im[2] - im[3]);
            (re[0], im[0]) = (sumRe + otherSumRe, sumIm + otherSumIm);
            (re[2], im[2]) = (sumRe - otherSumRe, sumIm - otherSumIm);
            (re[1], im[1]) = (lessRe + otherLessIm, lessIm - otherLessRe);
            (re[3], im[3]) = (lessRe - otherLessIm, lessIm + otherLessRe);
        }
    }

    /// <summary>(upper, lower) = (upper + lower e^-iw, upper - lower e^-iw) for each of the stage's angles w.</summary>
    private static void Turn(
        Span<double> upperRe,
        Span<double> upperIm,
        Span<double> lowerRe,
        Span<double> lowerIm,
        ReadOnlySpan<double> cos,
        ReadOnlySpan<double> sin
    )
    {
        int j = 0;
        for (int width = Vector<double>.Count; j <= cos.Length - width; j += width)
        {
            Vector<double> c = new(cos[j..]);
            Vector<double> s = new(sin[j..]);
            Vector<double> re = new(lowerRe[j..]);
            Vector<double> im = new(lowerIm[j..]);
            Vector<double> turnedRe = re * c + im * s;
            Vector<double> turnedIm = im * c - re * s;
            re = new(upperRe[j..]);
            im = new(upperIm[j..]);
            (re - turnedRe).CopyTo(lowerRe[j..]);
            (im - turnedIm).CopyTo(lowerIm[j..]);
            (re + turnedRe).CopyTo(upperRe[j..]);
            (im + turnedIm).CopyTo(upperIm[j..]);
        }
        for (; j < cos.Length; j++)
        {
            double turnedRe = lowerRe[j] * cos[j] + lowerIm[j] * sin[j];
            double turnedIm = lowerIm[j] * cos[j] - lowerRe[j] * sin[j];
            lowerRe[j] = upperRe[j] - turnedRe;
            lowerIm[j] = upperIm[j] - turnedIm;
            upperRe[j] += turnedRe;
            upperIm[j] += turnedIm;
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
