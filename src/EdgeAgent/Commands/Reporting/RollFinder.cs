using Dancerwatch.EdgeAgent.Recording;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Commands.Reporting;

/// <summary>Finds when each roll of a history was put on.</summary>
internal sealed class RollFinder(MachineSettings machine)
{
    private readonly MachineAssessor _assessor = new(machine);
    private readonly List<DateTimeOffset> _begins = [];
    private DateTimeOffset _end;

    public int Count => _begins.Count;

    public void Take(in Reading reading, Func<long, DateTimeOffset> toWallClock)
    {
        Assessment a = _assessor.Process(reading);
        _end = toWallClock(reading.Ticks);
        if (_begins.Count == 0 || a.Regime.RollChanged)
            _begins.Add(_end);
    }

    /// <param name="roll">1 for the latest.</param>
    /// <returns>Null where there are not so many.</returns>
    public Period? Of(int roll) =>
        roll > _begins.Count
            ? null
            : new Period(_begins[^roll], roll == 1 ? _end.AddTicks(1) : _begins[^(roll - 1)]);
}
