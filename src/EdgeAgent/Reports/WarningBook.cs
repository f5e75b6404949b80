using Dancerwatch.Signals;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.EdgeAgent.Reports;

/// <summary>Warnings of a period as rows: raised, changed and cleared make one.</summary>
internal sealed class WarningBook
{
    private readonly List<WarningRow> _over = [];
    private readonly Dictionary<Condition, (WarningRow Row, Priority Priority)> _open = [];

    public void Note(ConditionTransition told, long milliseconds)
    {
        (WarningRow? row, Priority priority) = _open.GetValueOrDefault(told.Condition);
        if (told.State == ConditionState.Cleared)
        {
            if (row is not null)
                _over.Add(row with { Cleared = milliseconds });
            _open.Remove(told.Condition);
            return;
        }
        Priority highest = row is null || told.Priority > priority ? told.Priority : priority;
        _open[told.Condition] = (
            new WarningRow(
                told.Condition.Code(),
                highest.Code(),
                told.Side.Code(),
                row?.Raised ?? milliseconds,
                null,
                told.Causes.First.Cause.Code(),
                Math.Round(told.Causes.First.Confidence, 3),
                told.Evidence,
                told.Check
            ),
            highest
        );
    }

    /// <summary>What was over before the period does not belong to it.</summary>
    public void Begin() => _over.Clear();

    /// <summary>In the order in which they were raised.</summary>
    public IReadOnlyList<WarningRow> Rows() =>
        [.. _over.Concat(_open.Values.Select(open => open.Row)).OrderBy(row => row.Raised)];
}
