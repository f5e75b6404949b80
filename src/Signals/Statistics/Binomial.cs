namespace Dancerwatch.Signals.Statistics;

/// <summary>The binomial distribution of whole counts. Time and memory: proportional to the trials.</summary>
internal sealed class Binomial
{
    /// <summary>Probabilities that differ by less, relatively, count as equal: they differ by rounding.</summary>
    private const double Alike = 1e-7;

    private readonly int _trials;
    private readonly double[] _logChoose;

    /// <param name="trials">At least 1.</param>
    public Binomial(int trials)
    {
        _trials = trials;
        _logChoose = new double[trials + 1];
        for (int k = 1; k <= trials; k++)
            _logChoose[k] = _logChoose[k - 1] + Math.Log((double)(trials - k + 1) / k);
    }

    /// <summary>
    /// Two-sided: the probability, at success probability <paramref name="p"/>, of all counts that are no likelier than the one
    /// seen (Fisher's rule; Clopper and Pearson 1934 for the interval). From 0 to 1.
    /// </summary>
    public double TwoSided(int seen, double p)
    {
        double limit = Probability(seen, p) * (1 + Alike);
        double sum = 0;
        for (int k = 0; k <= _trials; k++)
        {
            double probability = Probability(k, p);
            if (probability <= limit)
                sum += probability;
        }
        return Math.Min(1, sum);
    }

    /// <summary>
    /// Exact interval of the success probability that covers the true one in 95 of 100 cases or more (Clopper and Pearson 1934,
    /// Biometrika 26, 404).
    /// </summary>
    public (double Low, double High) Interval(int seen)
    {
        const double tail = 0.025;
        double low =
            seen == 0 ? 0 : Bisection.Rising(p => Sum(seen, _trials, p), target: tail, low: 0, high: 1);
        double high =
            seen == _trials ? 1 : Bisection.Rising(p => -Sum(0, seen, p), target: -tail, low: 0, high: 1);
        return (low, high);
    }

    private double Sum(int from, int to, double p)
    {
        double sum = 0;
        for (int k = from; k <= to; k++)
            sum += Probability(k, p);
        return sum;
    }

    private double Probability(int k, double p)
    {
        if (p <= 0)
            return k == 0 ? 1 : 0;
        if (p >= 1)
            return k == _trials ? 1 : 0;
        return Math.Exp(_logChoose[k] + (k * Math.Log(p)) + ((_trials - k) * Math.Log(1 - p)));
    }
}
