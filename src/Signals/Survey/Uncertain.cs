namespace Dancerwatch.Signals.Survey;

/// <summary>A result and how far it may be off.</summary>
/// <param name="Value">In the unit of the result; NaN where nothing is known.</param>
/// <param name="Plus">Half the width of the interval that covers the true value in 95 of 100 surveys: the expanded uncertainty of JCGM 100:2008 (GUM), 6.2.</param>
public readonly record struct Uncertain(double Value, double Plus)
{
    public static Uncertain Unknown => new(double.NaN, double.NaN);

    public bool IsKnown => double.IsFinite(Value);

    /// <summary>The same result with a further, independent contribution: roots of squares (GUM 5.1.2).</summary>
    public Uncertain With(double further) => this with { Plus = Root(Plus, further) };

    /// <summary>The result in another unit.</summary>
    public Uncertain Times(double factor) => new(Value * factor, Plus * Math.Abs(factor));

    /// <summary>This less another, independent one.</summary>
    public Uncertain Less(Uncertain other) => new(Value - other.Value, Root(Plus, other.Plus));

    /// <summary>This over another, independent one: relative contributions add by squares (GUM 5.1.6).</summary>
    public Uncertain Over(Uncertain other)
    {
        double value = Value / other.Value;
        return new(value, Root(Plus / other.Value, value * other.Plus / other.Value));
    }

    /// <summary>This times another, independent one (GUM 5.1.6).</summary>
    public Uncertain Product(Uncertain other) =>
        new(Value * other.Value, Root(Plus * other.Value, Value * other.Plus));

    private static double Root(double a, double b) => Math.Sqrt((a * a) + (b * b));
}
