using Dancerwatch.Bench.WarningQuality.Runs;

namespace Dancerwatch.Bench.WarningQuality.Scores;

/// <summary>Whether a trip came as often as was said: foretold probability of a trip within five minutes against what happened.</summary>
internal sealed class Reliability
{
    private const double HorizonSeconds = 300;
    private const int Bins = 10;

    private readonly double[] _foretold = new double[Bins];
    private readonly int[] _came = new int[Bins];
    private readonly int[] _cases = new int[Bins];
    private double _squares;

    public Reliability(IEnumerable<RunResult> runs, string watcher)
    {
        foreach (RunResult run in runs)
        {
            foreach ((double seconds, double probability) in run.Of(watcher).Probabilities)
            {
                bool came = run.Trips.Any(t => t.Seconds > seconds && t.Seconds <= seconds + HorizonSeconds);
                // What nobody watched to the end proves nothing.
                if (came || seconds + HorizonSeconds <= run.EndSeconds)
                    Add(probability, came);
            }
        }
    }

    public int Cases => _cases.Sum();

    /// <summary>Mean of (foretold - came)^2 (Brier 1950).</summary>
    public double Brier => _squares / Cases;

    /// <summary>What Brier's score would be if the mean rate were always foretold.</summary>
    public double BrierOfMean => (double)_came.Sum() / Cases is var rate ? rate * (1 - rate) : double.NaN;

    /// <summary>Per tenth of probability: cases, mean foretold, share that came; NaN where there are none.</summary>
    public IEnumerable<(int Cases, double Foretold, double Came)> Rows =>
        Enumerable
            .Range(0, Bins)
            .Select(i => (_cases[i], _foretold[i] / _cases[i], (double)_came[i] / _cases[i]));

    private void Add(double probability, bool came)
    {
        int bin = Math.Min((int)(probability * Bins), Bins - 1);
        _cases[bin]++;
        _foretold[bin] += probability;
        if (came)
            _came[bin]++;
        double off = probability - (came ? 1 : 0);
        _squares += off * off;
    }
}
