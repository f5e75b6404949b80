namespace Dancerwatch.Signals.Forecast;

/// <summary>
/// Probability that a process with a moving mean and AR(1) noise passes a level within a number of steps.
/// </summary>
/// <remarks>
/// The passages of a high level come nearly as a Poisson process whose rate is one over the mean first-passage time
/// (Aldous 1989, "Probability Approximations via the Poisson Clumping Heuristic"). That mean, for an Ornstein-Uhlenbeck
/// process from its mean to a level a, in relaxation times: sqrt(2 pi) * integral from 0 to a of Phi(y) exp(y^2/2) dy
/// (Siegert 1951). A process looked at once a step misses passages between steps: the level is moved out by
/// 0.5826 standard deviations of a step (Siegmund 1985). The moving mean and the known present value enter as a level
/// that changes from step to step.
/// </remarks>
internal static class FirstPassage
{
    private const double LargestLevel = 8;
    private const double TableStep = 0.01;

    /// <summary>Longer horizons are summed in wider strides.</summary>
    private const int MostEvaluations = 60;

    /// <summary>-zeta(1/2) / sqrt(2 pi), the mean overshoot of a Gaussian random walk.</summary>
    private const double MeanOvershoot = 0.5826;

    private static readonly double[] s_meanPassage = Tabulate();

    /// <summary>Mean time of an Ornstein-Uhlenbeck process from its mean to a level, in relaxation times.</summary>
    /// <param name="level">Level in stationary standard deviations, 0 or more.</param>
    public static double MeanRelaxationTimes(double level)
    {
        double place = Math.Clamp(level, 0, LargestLevel) / TableStep;
        int below = Math.Min((int)place, s_meanPassage.Length - 2);
        double share = place - below;
        return s_meanPassage[below] + share * (s_meanPassage[below + 1] - s_meanPassage[below]);
    }

    /// <summary>Probability that the level is passed within <paramref name="steps"/> steps.</summary>
    /// <param name="distance">Level less the mean now, in the unit of fill; 0 or less: the mean is past it already.</param>
    /// <param name="drift">What the mean gains towards the level each step, same unit.</param>
    /// <param name="deviation">Stationary standard deviation of the noise about the mean, same unit; above 0.</param>
    /// <param name="correlation">Correlation of the noise from one step to the next, 0 to below 1.</param>
    /// <param name="present">The noise now, same unit: how far the process stands from its mean towards the level.</param>
    /// <param name="steps">Steps ahead.</param>
    /// <param name="driftSteps">Steps for which the mean drifts; then it stays.</param>
    public static double Probability(
        double distance,
        double drift,
        double deviation,
        double correlation,
        double present,
        int steps,
        int driftSteps
    )
    {
        double furthest = distance - Math.Max(0, drift) * Math.Min(steps, driftSteps) - Math.Max(0, present);
        if (furthest > LargestLevel * deviation)
            return 0;
        double phi = Math.Clamp(correlation, 0.02, 0.98);
        double overshoot = MeanOvershoot * Math.Sqrt(1 - phi * phi);
        double relaxationRate = -Math.Log(phi);
        int stride = 1 + (steps - 1) / MostEvaluations;
        double hazard = 0;
        for (int step = 1; step <= steps; step += stride)
        {
            double memory = Math.Exp(-relaxationRate * step);
            double spread = deviation * Math.Sqrt(1 - memory * memory);
            double level = (distance - drift * Math.Min(step, driftSteps) - present * memory) / spread;
            if (level < -3)
                return 1;
            hazard +=
                relaxationRate
                * Math.Min(stride, steps - step + 1)
                / MeanRelaxationTimes(Math.Max(0, level) + overshoot);
        }
        return 1 - Math.Exp(-hazard);
    }

    private static double[] Tabulate()
    {
        var table = new double[(int)(LargestLevel / TableStep) + 1];
        for (int i = 1; i < table.Length; i++)
        {
            double y = (i - 0.5) * TableStep;
            double integrand = NormalBelow(y) * Math.Exp(y * y / 2);
            table[i] = table[i - 1] + Math.Sqrt(2 * Math.PI) * integrand * TableStep;
        }
        return table;
    }

    /// <summary>Standard normal distribution function for y >= 0, to 7.5e-8 (Abramowitz and Stegun 26.2.17).</summary>
    private static double NormalBelow(double y)
    {
        double t = 1 / (1 + 0.2316419 * y);
        double series =
            t * (0.319381530 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))));
        return 1 - Math.Exp(-y * y / 2) / Math.Sqrt(2 * Math.PI) * series;
    }
}
