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
            if (frequency < lowHz || _power[k] < _power[k - 1] || _power[k] <= _power[k + 1])
                continue;
            if (IsNearMultiple(frequency, cycleHz, 1.2 * CellHz))
                continue;
            double height = _power[k] / Background.At(frequency);
            if (height >= threshold && _power[k] >= smallest && !IsSideband(k, cycleHz))
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

    private int Deposit(ReadOnlySpan<double> seconds, ReadOnlySpan<double> values, double gridSeconds)
    {
        Array.Clear(_sum);
        Array.Clear(_weight);
        double perSecond = 1 / gridSeconds;
        int last = 0;
        for (int i = 0; i < seconds.Length; i++)
        {
            double position = (seconds[i] - seconds[0]) * perSecond;
            int node = Math.Min((int)position, ReadingWindow.Bins - 2);
            double towardsNext = Math.Min(1, position - node);
            _sum[node] += (1 - towardsNext) * values[i];
            _weight[node] += 1 - towardsNext;
            _sum[node + 1] += towardsNext * values[i];
            _weight[node + 1] += towardsNext;
            last = node + (towardsNext > 0 ? 1 : 0);
        }
        int known = 0;
        for (int node = 0; node <= last; node++)
        {
            if (_weight[node] < 0.02)
                continue;
            _sum[node] /= _weight[node];
            for (int hole = known + 1; hole < node; hole++)
                _sum[hole] = double.Lerp(_sum[known], _sum[node], (hole - known) / (double)(node - known));
            known = node;
        }
        return known + 1;
    }

    /// <summary>Multiplies by a Hann taper, its cosine made by turning a pointer; returns the taper's energy.</summary>
    private static double Taper(Span<double> series)
    {
        (double turnSin, double turnCos) = Math.SinCos(2 * Math.PI / series.Length);
        (double sin, double cos) = Math.SinCos(Math.PI / series.Length);
        double energy = 0;
        for (int i = 0; i < series.Length; i++)
        {
            double taper = 0.5 - 0.5 * cos;
            series[i] *= taper;
            energy += taper * taper;
            (cos, sin) = (cos * turnCos - sin * turnSin, sin * turnCos + cos * turnSin);
        }
        return energy;
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
