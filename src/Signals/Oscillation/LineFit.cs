namespace Dancerwatch.Signals.Oscillation;

/// <summary>A straight line by least squares: value = Start + Slope t. Slope is NaN where all times are equal.</summary>
internal readonly record struct LineFit(double Start, double Slope)
{
    public static LineFit Of(ReadOnlySpan<double> times, ReadOnlySpan<double> values)
    {
        double n = values.Length;
        double st = 0;
        double stt = 0;
        double sy = 0;
        double sty = 0;
        for (int i = 0; i < values.Length; i++)
        {
            st += times[i];
            stt += times[i] * times[i];
            sy += values[i];
            sty += times[i] * values[i];
        }
        double slope = (sty - st * sy / n) / (stt - st * st / n);
        return new((sy - slope * st) / n, slope);
    }
}
