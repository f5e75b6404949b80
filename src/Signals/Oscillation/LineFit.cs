using System.Numerics;

namespace Dancerwatch.Signals.Oscillation;

/// <summary>A straight line by least squares: value = Start + Slope t. Slope is NaN where all times are equal.</summary>
internal readonly record struct LineFit(double Start, double Slope)
{
    public static LineFit Of(ReadOnlySpan<double> times, ReadOnlySpan<double> values)
    {
        Vector<double> someTimes = default;
        Vector<double> someSquares = default;
        Vector<double> someValues = default;
        Vector<double> someProducts = default;
        int i = 0;
        for (int width = Vector<double>.Count; i <= values.Length - width; i += width)
        {
            Vector<double> time = new(times[i..]);
            Vector<double> value = new(values[i..]);
            someTimes += time;
            someSquares += time * time;
            someValues += value;
            someProducts += time * value;
        }
        double st = Vector.Sum(someTimes);
        double stt = Vector.Sum(someSquares);
        double sy = Vector.Sum(someValues);
        double sty = Vector.Sum(someProducts);
        for (; i < values.Length; i++)
        {
            st += times[i];
            stt += times[i] * times[i];
            sy += values[i];
            sty += times[i] * values[i];
        }
        double n = values.Length;
        double slope = (sty - st * sy / n) / (stt - st * st / n);
        return new((sy - slope * st) / n, slope);
    }

    /// <summary>Takes the line that fits values best out of them.</summary>
    public static void TakeFrom(Span<double> values, ReadOnlySpan<double> times)
    {
        LineFit line = Of(times, values);
        int i = 0;
        for (int width = Vector<double>.Count; i <= values.Length - width; i += width)
        {
            Vector<double> time = new(times[i..]);
            Span<double> some = values[i..];
            (new Vector<double>(some) - (new Vector<double>(line.Start) + line.Slope * time)).CopyTo(some);
        }
        for (; i < values.Length; i++)
            values[i] -= line.Start + line.Slope * times[i];
    }
}
