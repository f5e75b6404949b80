using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Commands.Checks;

/// <summary>The readings of one machine during a check, as far as the judgement needs them.</summary>
internal sealed class MachineSeries(WatchedMachineSettings machine, IReadOnlyList<TagRequest> tags)
{
    private readonly ReadingSource _source = new(machine, tags);
    private readonly FillScale _fill = new(machine.Machine.Fill);

    public WatchedMachineSettings Machine { get; } = machine;

    /// <summary>The last reading.</summary>
    public Reading Last { get; private set; } = Reading.Failed(0);

    /// <summary>Fill by the last reading.</summary>
    public FillEstimate Fill { get; private set; }

    /// <summary>Readings with a gap.</summary>
    public int Gaps { get; private set; }

    /// <summary>The gap was not the same in all of them.</summary>
    public bool GapMoved { get; private set; }

    /// <summary>Film came off the roll in every one of them.</summary>
    public bool FilmAlwaysMoved { get; private set; } = true;

    public void Take(TagSnapshot snapshot)
    {
        Reading reading = _source.Read(snapshot);
        double before = Last[Signal.Gap];
        double gap = reading[Signal.Gap];
        if (double.IsFinite(gap))
        {
            GapMoved |= Gaps > 0 && double.IsFinite(before) && gap != before;
            FilmAlwaysMoved &= reading[Signal.UnwindSpeed] > 0;
            Gaps++;
        }
        Fill = _fill.Next(reading);
        Last = reading;
    }
}
