using System.Runtime.CompilerServices;

namespace Dancerwatch.Signals.Readings;

/// <summary>One <see cref="double"/> for each <see cref="Signal"/>; NaN where nothing is known. 16 x 8 bytes, no heap.</summary>
[InlineArray(Count)]
public struct SignalValues
{
    /// <summary>Number of signals.</summary>
    public const int Count = (int)Signal.Product + 1;

    private double _first;

    /// <summary>All signals unknown. (<c>default</c> would be all zeros, which is a claim.)</summary>
    public static SignalValues Unknown
    {
        get
        {
            SignalValues values = default;
            ((Span<double>)values).Fill(double.NaN);
            return values;
        }
    }

    /// <summary>Value of one signal in its unit; NaN where nothing is known.</summary>
    public double this[Signal signal]
    {
        readonly get => this[(int)signal];
        set => this[(int)signal] = value;
    }
}
