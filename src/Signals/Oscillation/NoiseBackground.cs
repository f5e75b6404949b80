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
        _logFrequency = new double[capacity];
        _octaveWeight = new double[capacity];
        _logPower = new double[capacity];
    }

    public void Clear() => _count = 0;

    /// <summary>Takes a point; frequencies must rise.</summary>
    public void Add(double frequencyHz, double density)
    {
        // Points lie densely towards high frequencies; 1/f weighs every octave alike.
        _octaveWeight[_count] = 1 / frequencyHz;
        _logFrequency[_count] = Math.Log(frequencyHz);
        _logPower[_count++] = Math.Log(density + 1e-300);
    }

    public void Fit()
    {
        (_c0, _c1, _c2) = (0, 0, 0);
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
        Span<double> matrix = stackalloc double[9];
        Span<double> right = stackalloc double[3];
        matrix.Clear();
        right.Clear();
        for (int i = 0; i < _count; i++)
        {
            double x = _logFrequency[i];
            double y = _logPower[i] + EulerGamma;
            if (!first)
            {
                double eta = _c0 + x * (_c1 + x * _c2);
                if (_logPower[i] - eta > LogHighestRatio)
                    continue;
                y = eta + Math.Exp(_logPower[i] - eta) - MeanOfKeptRatio;
            }
            double weight = _octaveWeight[i];
            double wx = weight * x;
            double wxx = wx * x;
            matrix[0] += weight;
            matrix[3] += wx;
            matrix[6] += wxx;
            matrix[7] += wxx * x;
            matrix[8] += wxx * x * x;
            right[0] += weight * y;
            right[1] += wx * y;
            right[2] += wxx * y;
        }
        matrix[4] = matrix[6];
        if (NormalEquations.Solve(matrix, right))
            (_c0, _c1, _c2) = (right[0], right[1], right[2]);
    }
}
