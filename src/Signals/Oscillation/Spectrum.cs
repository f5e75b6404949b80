using System.Numerics;
using System.Runtime.Intrinsics;

namespace Dancerwatch.Signals.Oscillation;

/// <summary>
/// Where in a window to look for tones: power spectral density on an even grid (Hann taper, zero-padded to twice the
/// window). A tone is a narrow peak above the background. Density over background is exponentially distributed for
/// noise, so a height z is passed by chance with e^-z at each independent frequency (Scargle 1982).
/// The grid only finds; frequencies and amplitudes come from <see cref="ToneFit"/> on the readings' own times.
/// </summary>
internal sealed class Spectrum
{
    private const int Size = 2 * ReadingWindow.Bins;

    /// <summary>How far around a mirror image is averaged, in resolution cells.</summary>
    private const double MirrorCells = 2;

    /// <summary>A tone stands this many times above its mirror image.</summary>
    private const double MirrorThreshold = 8;

    private readonly FourierTransform _transform = new(Size);
    private readonly double[] _sum = new double[ReadingWindow.Bins];
    private readonly double[] _weight = new double[ReadingWindow.Bins];
    private readonly double[] _power = new double[Size / 2];
    private readonly double[] _taper = new double[ReadingWindow.Bins];
    private int _tapered; // length of the taper kept
    private double _taperEnergy;
    private int _last;
    private double _stepHz;
    private double _spanSeconds;

    /// <summary>What noise alone would show.</summary>
    public NoiseBackground Background { get; } = new(Size / 2);

    /// <summary>One resolution cell, 1 / span, Hz.</summary>
    public double CellHz => 1 / _spanSeconds;

    /// <summary>Computes the density of <paramref name="values"/>; they should be free of trend.</summary>
    /// <param name="gridSeconds">Step of the grid, s; the span may not exceed <see cref="ReadingWindow.Bins"/> steps.</param>
    /// <param name="highestHz">Highest frequency that will be asked for, Hz.</param>
    public void Compute(
        ReadOnlySpan<double> seconds,
        ReadOnlySpan<double> values,
        double gridSeconds,
        double highestHz
    )
    {
        int count = Deposit(seconds, values, gridSeconds);
        Span<double> series = _sum.AsSpan(0, count);
        double energy = Taper(series);
        _stepHz = 1 / (Size * gridSeconds);
        _last = Math.Min(_power.Length - 1, (int)Math.Ceiling(highestHz / _stepHz));
        Span<double> power = _power.AsSpan(0, _last + 1);
        _transform.Power(series, power);
        double scale = gridSeconds / energy;
        foreach (ref double density in power)
            density *= scale;
        _spanSeconds = count * gridSeconds;
    }

    /// <summary>Two-sided density at the grid's frequency nearest to one, %^2/Hz.</summary>
    public double Density(double frequencyHz) => _power[(int)Math.Round(frequencyHz / _stepHz)];

    /// <summary>Fits the background between two frequencies, leaving out the neighbourhood of a cycle's multiples.</summary>
    public void FitBackground(double lowHz, double highHz, double cycleHz)
    {
        // One point a resolution cell: closer ones say the same again.
        double stride = Math.Max(1, CellHz / _stepHz);
        Background.Clear();
        for (double at = Math.Max(2, lowHz / _stepHz); at < _last; at += stride)
        {
            int k = (int)at;
            double frequency = k * _stepHz;
            if (frequency > highHz)
                break;
            if (!IsNearMultiple(frequency, cycleHz, CellHz))
                Background.Add(frequency, _power[k]);
        }
        Background.Fit();
    }

    /// <summary>
    /// The highest peaks between two frequencies that stand at least <paramref name="threshold"/> times above the
    /// background and could be a tone of at least <paramref name="smallestAmplitude"/>.
    /// </summary>
    /// <returns>How many were found, strongest first.</returns>
    public int FindPeaks(
        double lowHz,
        double highHz,
        double cycleHz,
        double threshold,
        double smallestAmplitude,
        Span<Peak> peaks
    )
    {
        // Under a Hann taper a tone of amplitude A peaks at A^2 T / 6; between two grid points, at 0.7 of it or more.
        double smallest = 0.7 * smallestAmplitude * smallestAmplitude * _spanSeconds / 6;
        int found = 0;
        int strongest = 1;
        int last = Math.Min(_last - 1, (int)(highHz / _stepHz));
        for (int k = 1; k <= last; k++)
        {
            if (_power[k] > _power[strongest])
                strongest = k;
            double frequency = k * _stepHz;
            if (
                _power[k] < smallest
                || frequency < lowHz
                || _power[k] < _power[k - 1]
                || _power[k] <= _power[k + 1]
            )
                continue;
            if (IsNearMultiple(frequency, cycleHz, 1.2 * CellHz))
                continue;
            double height = _power[k] / Background.At(frequency);
            if (height >= threshold && !IsSideband(k, cycleHz))
                found = Insert(peaks, found, new(Interpolate(k), height, _power[k]));
        }
        return DropSidelobes(peaks[..found], strongest);
    }

    /// <summary>Autocorrelation, up to a factor, of the part between two frequencies, at a lag in grid steps.</summary>
    public double BandAutocorrelation(double lowHz, double highHz, int lag)
    {
        ReadOnlySpan<double> cosines = _transform.Cosines;
        int first = Math.Max(1, (int)(lowHz / _stepHz));
        int last = Math.Min(_last, (int)Math.Ceiling(highHz / _stepHz));
        double sum = 0;
        for (int k = first; k <= last; k++)
            sum += _power[k] * cosines[(k * lag) & (Size - 1)];
        return sum;
    }

    /// <summary>
    /// A cycle that is not quite even spreads each of its lines into sidebands, alike on both sides for small shifts of
    /// phase; a tone of its own has no mirror image.
    /// </summary>
    private bool IsSideband(int k, double cycleHz)
    {
        if (!double.IsFinite(cycleHz))
            return false;
        double line = cycleHz / _stepHz * Math.Max(1, Math.Round(k * _stepHz / cycleHz));
        double cell = CellHz / _stepHz;
        int mirror = (int)Math.Round(2 * line - k);
        int reach = (int)Math.Ceiling(MirrorCells * cell);
        double sum = 0;
        int count = 0;
        for (int at = Math.Max(1, mirror - reach); at <= Math.Min(_last, mirror + reach); at++)
        {
            // Not the line itself.
            if (Math.Abs(at - line) < cell)
                continue;
            sum += _power[at];
            count++;
        }
        return count > 0 && _power[k] < MirrorThreshold * sum / count;
    }

    private static bool IsNearMultiple(double frequency, double cycleHz, double reach)
    {
        if (!double.IsFinite(cycleHz))
            return false;
        double multiple = Math.Max(1, Math.Round(frequency / cycleHz));
        return Math.Abs(frequency - multiple * cycleHz) < reach;
    }

    /// <summary>Shares each value between the two nodes beside it; empty nodes are bridged by a straight line.</summary>
    /// <remarks>
    /// Sum and weight of the node a value falls to, and of the next, are held rather than written and read again: values come
    /// in the order of time, so whatever lies before them is done with. It halved the time this takes.
    /// </remarks>
    /// <returns>Nodes from the first to the last that is known.</returns>
    private int Deposit(ReadOnlySpan<double> seconds, ReadOnlySpan<double> values, double gridSeconds)
    {
        double[] sums = _sum;
        double[] weights = _weight;
        Array.Clear(sums);
        Array.Clear(weights);
        double perSecond = 1 / gridSeconds;
        double first = seconds[0];
        int at = 0;
        double towardsNext = 0;
        Vector128<double> here = default;
        Vector128<double> next = default;
        for (int i = 0; i < seconds.Length; i++)
        {
            double position = (seconds[i] - first) * perSecond;
            int node = Math.Min((int)position, ReadingWindow.Bins - 2);
            towardsNext = double.MinNative(1, position - node);
            // Without a jump: whether it is still the same node would be guessed wrong every other time.
            Vector128<double> steps = Vector128.Create((double)(node - at));
            Vector128<double> isSame = Vector128.Equals(steps, Vector128<double>.Zero);
            here = (here & isSame) | (next & Vector128.Equals(steps, Vector128<double>.One));
            next &= isSame;
            at = node;
            Vector128<double> value = Vector128.Create(values[i], 1);
            here += (1 - towardsNext) * value;
            next += towardsNext * value;
            (sums[node], weights[node]) = (here[0], here[1]);
            (sums[node + 1], weights[node + 1]) = (next[0], next[1]);
        }
        int last = at + (towardsNext > 0 ? 1 : 0);
        DivideByWeights(last + 1);
        int known = 0;
        for (int node = 1; node <= last; node++)
        {
            if (_weight[node] < 0.02)
                continue;
            for (int hole = known + 1; hole < node; hole++)
                _sum[hole] = double.Lerp(_sum[known], _sum[node], (hole - known) / (double)(node - known));
            known = node;
        }
        return known + 1;
    }

    /// <summary>Means from sums; what has no weight is no number and is bridged later.</summary>
    private void DivideByWeights(int nodes)
    {
        Span<double> sums = _sum.AsSpan(0, nodes);
        ReadOnlySpan<double> weights = _weight.AsSpan(0, nodes);
        int i = 0;
        for (int width = Vector<double>.Count; i <= nodes - width; i += width)
            (new Vector<double>(sums[i..]) / new Vector<double>(weights[i..])).CopyTo(sums[i..]);
        for (; i < nodes; i++)
            sums[i] /= weights[i];
    }

    /// <summary>Multiplies by a Hann taper; returns the taper's energy.</summary>
    private double Taper(Span<double> series)
    {
        if (series.Length != _tapered)
            MakeTaper(series.Length);
        ReadOnlySpan<double> taper = _taper.AsSpan(0, series.Length);
        int i = 0;
        for (int width = Vector<double>.Count; i <= series.Length - width; i += width)
            (new Vector<double>(series[i..]) * new Vector<double>(taper[i..])).CopyTo(series[i..]);
        for (; i < series.Length; i++)
            series[i] *= taper[i];
        return _taperEnergy;
    }

    /// <summary>A taper's cosine is made by turning a pointer. It is kept: a full window's is seldom another.</summary>
    private void MakeTaper(int length)
    {
        (double turnSin, double turnCos) = Math.SinCos(2 * Math.PI / length);
        (double sin, double cos) = Math.SinCos(Math.PI / length);
        _taperEnergy = 0;
        for (int i = 0; i < length; i++)
        {
            double taper = 0.5 - 0.5 * cos;
            _taper[i] = taper;
            _taperEnergy += taper * taper;
            (cos, sin) = (cos * turnCos - sin * turnSin, sin * turnCos + cos * turnSin);
        }
        _tapered = length;
    }

    private double Interpolate(int k)
    {
        double left = Math.Log(_power[k - 1] + 1e-300);
        double top = Math.Log(_power[k] + 1e-300);
        double right = Math.Log(_power[k + 1] + 1e-300);
        double bend = left - 2 * top + right;
        double shift = bend < 0 ? 0.5 * (left - right) / bend : 0;
        return (k + Math.Clamp(shift, -0.5, 0.5)) * _stepHz;
    }

    private static int Insert(Span<Peak> peaks, int found, in Peak peak)
    {
        int at = found;
        while (at > 0 && peaks[at - 1].Density < peak.Density)
            at--;
        if (at == peaks.Length)
            return found;
        int kept = Math.Min(found, peaks.Length - 1);
        peaks[at..kept].CopyTo(peaks[(at + 1)..]);
        peaks[at] = peak;
        return kept + 1;
    }

    /// <summary>
    /// Drops what the strongest line, looked for or not, may have thrown there: the Hann taper's sidelobes start 31 dB
    /// down at 2.5 cells and fall 18 dB an octave (Harris 1978).
    /// </summary>
    private int DropSidelobes(Span<Peak> peaks, int strongest)
    {
        int kept = 0;
        for (int i = 0; i < peaks.Length; i++)
        {
            double cells = Math.Abs(peaks[i].FrequencyHz - strongest * _stepHz) * _spanSeconds;
            double sidelobe = 1e-3 * Math.Pow(2.5 / Math.Max(cells, 0.5), 6);
            bool isTheStrongest = cells < 0.5;
            if (isTheStrongest || (cells > 2 && peaks[i].Density > 4 * sidelobe * _power[strongest]))
                peaks[kept++] = peaks[i];
        }
        return kept;
    }
}

/// <summary>A peak of a spectrum.</summary>
/// <param name="FrequencyHz">Where, Hz, interpolated.</param>
/// <param name="Height">Density over background.</param>
/// <param name="Density">Two-sided density, %^2/Hz.</param>
internal readonly record struct Peak(double FrequencyHz, double Height, double Density);
