using Dancerwatch.Signals.Fill;

namespace Dancerwatch.Signals.Warnings;

/// <summary>What a reading says for or against one condition.</summary>
/// <param name="Excess">How far the evidence is past the condition's limit, in its own unit; 0 or more speaks for it; NaN where nothing is known.</param>
/// <param name="Side">The side it concerns.</param>
/// <param name="Priority">How soon somebody should act.</param>
internal readonly record struct ConditionSign(double Excess, Side Side, Priority Priority)
{
    /// <summary>Nothing speaks for it, whatever the deadband: so while the machine stands.</summary>
    public static ConditionSign Gone { get; } = new(double.NegativeInfinity, Side.None, Priority.Low);
}
