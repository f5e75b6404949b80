using System.Numerics;

namespace Dancerwatch.Signals.Oscillation;

/// <summary>
/// The smooth density that noise alone would show under a spectrum with tones in it: a parabola of log density over log
/// frequency, which follows white noise, a random walk, and the bend of AR(1) noise between them.
/// </summary>
internal sealed class NoiseBackground
{
    /// <summary>E[ln Exp(1)] = -gamma.</summary>
    private const double EulerGamma = 0.5772156649015329;
    private const int Rounds = 4;

    /// <summary>Noise passes six times its mean density once in 400 draws.</summary>
    private const double HighestRatio = 6;
    private static readonly double LogHighestRatio = Math.Log(HighestRatio);

    /// <summary>Mean of an exponential variable below <see cref="HighestRatio"/>: 1 - 6 / (e^6 - 1).</summary>
    private static readonly double MeanOfKeptRatio = 1 - HighestRatio / (Math.Exp(HighestRatio) - 1);

    // A whole number of vectors; behind the last point stands that point, without weight.
    private readonly double[] _logFrequency;
    private readonly double[] _octaveWeight;
    private readonly double[] _logPower;
    private int _count;
    private double _c0;
    private double _c1;
    private double _c2;

    /// <param name="capacity">Most points.</param>
    public NoiseBackground(int capacity)
    {
        int whole = capacity + Vector<double>.Count;
        _logFrequency = new double[whole];
        _octaveWeight = new double[whole];
        _logPower = new double[whole];
    }

    public void Clear() => _count = 0;

    /// <summary>Takes a point; frequencies must rise.</summary>
    public void Add(double frequencyHz, double density)
    {
        // Frequency and density at first; the fit takes their logarithms, several at once.
        _logFrequency[_count] = frequencyHz;
        _logPower[_count++] = density;
    }

    public void Fit()
    {
        (_c0, _c1, _c2) = (0, 0, 0);
        if (_count == 0)
            return;
        TakeLogarithms();
        for (int round = 0; round < Rounds; round++)
            FitParabola(first: round == 0);
    }

    /// <summary>Density of the background, in the unit of the points'.</summary>
    public double At(double frequencyHz)
    {
        if (_count == 0)
            return double.NaN;
        // A parabola may not be trusted outside the points it was fitted to.
        double x = Math.Clamp(Math.Log(frequencyHz), _logFrequency[0], _logFrequency[_count - 1]);
        return Math.Exp(_c0 + x * (_c1 + x * _c2));
    }

    /// <summary>
    /// One round of the parabola's fit. The first takes logarithms as they are; the later ones are Fisher scoring of the
    /// exponential likelihood (Whittle 1953), whose working value eta + P / S - 1 gives little to a deep notch; what
    /// stands above <see cref="HighestRatio"/> is taken for a tone and left out.
    /// </summary>
    private void FitParabola(bool first)
    {
        // Sums of weight times 1, x ... x^4, and times y, x y, x^2 y.
        Vector<double> s0 = default;
        Vector<double> s1 = default;
        Vector<double> s2 = default;
        Vector<double> s3 = default;
        Vector<double> s4 = default;
        Vector<double> y0 = default;
        Vector<double> y1 = default;
        Vector<double> y2 = default;
        for (int i = 0; i < _count; i += Vector<double>.Count)
        {
            Vector<double> x = new(_logFrequency, i);
            Vector<double> weight = new(_octaveWeight, i);
            Vector<double> power = new(_logPower, i);
            Vector<double> y = power + new Vector<double>(EulerGamma);
            if (!first)
            {
                Vector<double> eta = new Vector<double>(_c0) + x * (new Vector<double>(_c1) + x * _c2);
                Vector<double> above = power - eta;
                Vector<double> isNoise = Vector
                    .LessThanOrEqual(above, new Vector<double>(LogHighestRatio))
                    .As<long, double>();
                weight &= isNoise;
                y = (eta + Vector.Exp(above) - new Vector<double>(MeanOfKeptRatio)) & isNoise;
            }
            Vector<double> wx = weight * x;
            Vector<double> wxx = wx * x;
            Vector<double> wxxx = wxx * x;
            s0 += weight;
            s1 += wx;
            s2 += wxx;
            s3 += wxxx;
            s4 += wxxx * x;
            y0 += weight * y;
            y1 += wx * y;
            y2 += wxx * y;
        }
        (double ones, double xs, double squares) = (Vector.Sum(s0), Vector.Sum(s1), Vector.Sum(s2));
        (double cubes, double fourths) = (Vector.Sum(s3), Vector.Sum(s4));
        Span<double> matrix = [ones, xs, squares, xs, squares, cubes, squares, cubes, fourths];
        Span<double> right = [Vector.Sum(y0), Vector.Sum(y1), Vector.Sum(y2)];
        if (NormalEquations.Solve(matrix, right))
            (_c0, _c1, _c2) = (right[0], right[1], right[2]);
    }

    private void TakeLogarithms()
    {
        for (int i = _count; i % Vector<double>.Count != 0; i++)
            (_logFrequency[i], _logPower[i]) = (_logFrequency[_count - 1], _logPower[_count - 1]);
        for (int i = 0; i < _count; i += Vector<double>.Count)
        {
            Vector<double> frequency = new(_logFrequency, i);
            // Points lie densely towards high frequencies; 1/f weighs every octave alike.
            (Vector<double>.One / frequency).CopyTo(_octaveWeight, i);
            Vector.Log(frequency).CopyTo(_logFrequency, i);
            Vector.Log(new Vector<double>(_logPower, i) + new Vector<double>(1e-300)).CopyTo(_logPower, i);
        }
        for (int i = _count; i % Vector<double>.Count != 0; i++)
            _octaveWeight[i] = 0;
    }
}
