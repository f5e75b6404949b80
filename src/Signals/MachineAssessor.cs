using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.Signals;

/// <summary>
/// All mathematics for one machine: one reading in, one assessment out. Not thread-safe; allocates nothing per reading
/// once constructed, except when a condition changes.
/// </summary>
public sealed class MachineAssessor
{
    private readonly Assessment _assessment = new();
    private readonly ConditionTransition?[] _open = new ConditionTransition?[(int)Condition.DataLost + 1];
    private bool _any;

    /// <param name="settings">The machine.</param>
    /// <exception cref="ArgumentException">A setting cannot be used; the message names it, its value and what is allowed.</exception>
    public MachineAssessor(MachineSettings settings)
    {
        ArgumentNullException.ThrowIfNull(settings);
    }

    /// <summary>Takes the next reading. Readings whose time does not move forward are ignored and counted.</summary>
    /// <returns>The same instance at each call.</returns>
    public Assessment Process(in Reading reading)
    {
        if (_any && reading.Ticks <= _assessment.Ticks)
        {
            IgnoredReadings++;
            return _assessment;
        }
        _any = true;
        _assessment.Ticks = reading.Ticks;
        _assessment.TransitionsToFill.Clear();
        return _assessment;
    }

    /// <summary>Which conditions are raised now, with their latest transition; null where not raised. Indexed by <see cref="Condition"/>.</summary>
    public ConditionTransition? Open(Condition condition) => _open[(int)condition];

    /// <summary>Readings ignored because their time did not move forward.</summary>
    public long IgnoredReadings { get; private set; }
}
