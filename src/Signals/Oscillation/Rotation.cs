using System.Numerics;
using System.Runtime.CompilerServices;

namespace Dancerwatch.Signals.Oscillation;

/// <summary>Sine and cosine of angles counted in turns: 1 is 360 degrees.</summary>
internal static class Rotation
{
    /// <summary>
    /// Sines and cosines, several at once, to 1e-14: by their series (Taylor 1715) at a quarter of the angle, doubled twice. The
    /// library's take any angle and are exact to the last bit, and a tone is fitted to a thousand readings a look: this took
    /// the worst reading of the native program from 51 to 33 us and a tenth of a reading's mean where a tone is seen.
    /// </summary>
    /// <param name="turns">Finite, below 2^50.</param>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void SinCos(Vector<double> turns, out Vector<double> sin, out Vector<double> cos)
    {
        // Half a turn to either side at most, so that a quarter of it is 45 degrees at most.
        Vector<double> x = (Math.PI / 2) * (turns - Nearest(turns));
        Vector<double> square = x * x;
        sin = new Vector<double>(1.0 / 6_227_020_800);
        sin = Vector.MultiplyAddEstimate(sin, square, new(-1.0 / 39_916_800));
        sin = Vector.MultiplyAddEstimate(sin, square, new(1.0 / 362_880));
        sin = Vector.MultiplyAddEstimate(sin, square, new(-1.0 / 5_040));
        sin = Vector.MultiplyAddEstimate(sin, square, new(1.0 / 120));
        sin = Vector.MultiplyAddEstimate(sin, square, new(-1.0 / 6));
        sin = Vector.MultiplyAddEstimate(sin * square, x, x);
        cos = new Vector<double>(-1.0 / 87_178_291_200);
        cos = Vector.MultiplyAddEstimate(cos, square, new(1.0 / 479_001_600));
        cos = Vector.MultiplyAddEstimate(cos, square, new(-1.0 / 3_628_800));
        cos = Vector.MultiplyAddEstimate(cos, square, new(1.0 / 40_320));
        cos = Vector.MultiplyAddEstimate(cos, square, new(-1.0 / 720));
        cos = Vector.MultiplyAddEstimate(cos, square, new(1.0 / 24));
        cos = Vector.MultiplyAddEstimate(cos, square, new(-1.0 / 2));
        cos = Vector.MultiplyAddEstimate(cos, square, Vector<double>.One);
        for (int doubled = 0; doubled < 2; doubled++)
        {
            Vector<double> twice = sin + sin;
            (sin, cos) = (twice * cos, Vector<double>.One - twice * sin);
        }
    }

    /// <summary>Sine and cosine of one angle.</summary>
    public static (double Sin, double Cos) SinCos(double turns)
    {
        SinCos(new Vector<double>(turns), out Vector<double> sin, out Vector<double> cos);
        return (sin[0], cos[0]);
    }

    /// <summary>What is left of whole turns, 0 to 1.</summary>
    /// <inheritdoc cref="SinCos(Vector{double}, out Vector{double}, out Vector{double})"/>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static Vector<double> Rest(Vector<double> turns)
    {
        Vector<double> whole = Nearest(turns);
        whole -= Vector.GreaterThan(whole, turns).As<long, double>() & Vector<double>.One;
        return turns - whole;
    }

    /// <summary>
    /// The nearest whole number: added to so large a number, no digit behind the point is left. The library's, of several at
    /// once, is a call for each in the native program.
    /// </summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector<double> Nearest(Vector<double> turns)
    {
        Vector<double> large = new(1.5 * (1L << 52));
        return (turns + large) - large;
    }
}
