namespace Dancerwatch.Bench.Speed.Baselines;

/// <summary>
/// The general sketch, as baseline: a merging t-digest (Dunning &amp; Ertl 2019, from memory) with compression 100. Approximate,
/// and it cannot forget, so that a window is a ring of digests, one a slice, merged when asked.
/// </summary>
internal sealed class PlainDigest
{
    private const int Compression = 100;
    private readonly (double Mean, double Weight)[] _points = new (double, double)[10 * Compression];
    private int _count;

    public void Clear() => _count = 0;

    public void Add(double value, double weight = 1)
    {
        if (_count == _points.Length)
            Compress();
        _points[_count++] = (value, weight);
    }

    public void AddTo(PlainDigest other)
    {
        Compress();
        for (int i = 0; i < _count; i++)
            other.Add(_points[i].Mean, _points[i].Weight);
    }

    public double Percentile(double share)
    {
        Compress();
        double total = 0;
        for (int i = 0; i < _count; i++)
            total += _points[i].Weight;
        double wanted = share * total;
        for (int i = 0; i < _count; i++)
        {
            wanted -= _points[i].Weight;
            if (wanted <= 0)
                return _points[i].Mean;
        }
        return _count == 0 ? double.NaN : _points[_count - 1].Mean;
    }

    private void Compress()
    {
        Span<(double Mean, double Weight)> points = _points.AsSpan(0, _count);
        points.Sort(static (a, b) => a.Mean.CompareTo(b.Mean));
        double total = 0;
        foreach ((_, double weight) in points)
            total += weight;
        int kept = 0;
        double before = 0;
        for (int i = 1; i < points.Length; i++)
        {
            double together = points[kept].Weight + points[i].Weight;
            double middle = (before + (together / 2)) / total;
            if (together <= Math.Max(1, 4 * total * middle * (1 - middle) / Compression))
            {
                points[kept] = (
                    points[kept].Mean + ((points[i].Mean - points[kept].Mean) * points[i].Weight / together),
                    together
                );
                continue;
            }
            before += points[kept].Weight;
            points[++kept] = points[i];
        }
        _count = Math.Min(_count, kept + 1);
    }
}
