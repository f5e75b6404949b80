using Dancerwatch.Bench.WarningQuality.Runs;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Oscillation;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Regimes;
using Dancerwatch.Signals.Warnings;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.Bench.WarningQuality.Watchers;

/// <summary>Dancerwatch itself on one feed, at one or several sensitivities that share all but their warnings.</summary>
internal sealed class AssessorWatcher : IWatcher
{
    private const double NoteSeconds = 10;

    /// <summary>A roll that is told to end when it lasts this much longer than told is told so falsely.</summary>
    private const double RollMinutes = 8;

    private readonly WatcherSettings _machine;
    private readonly MachineAssessor _assessor;
    private readonly AlertBook[] _books;
    private double _nextNote;

    /// <param name="feed">What is read.</param>
    /// <param name="machine">What was told about the machine.</param>
    /// <param name="names">Of the watchers, by sensitivity; 1 is what the feed is shipped with.</param>
    public AssessorWatcher(
        Feed feed,
        WatcherSettings machine,
        IReadOnlyList<(string Name, double Sensitivity)> names
    )
    {
        Feed = feed;
        _machine = machine;
        _books = [.. names.Select(n => new AlertBook(n.Name))];
        double usual = WarningSettings.UsualSensitivity(isRunKnown: feed == Feed.All);
        _assessor = new MachineAssessor(
            machine.Settings,
            [.. names.Select(n => new WarningSettings { Sensitivity = usual * n.Sensitivity })]
        );
    }

    public Feed Feed { get; }
    public IReadOnlyList<AlertBook> Books => _books;

    public void Take(in Reading reading, in FilmTruth truth)
    {
        Assessment a = _assessor.Process(reading);
        double now = (double)reading.Ticks / TimeSpan.TicksPerSecond;
        for (int i = 0; i < _books.Length; i++)
        {
            IReadOnlyList<ConditionTransition> told = _assessor.TransitionsOf(i);
            for (int k = 0; k < told.Count; k++)
                _books[i].Note(told[k], now, IsTrue(told[k].Condition, truth));
        }
        if (now < _nextNote)
            return;
        _nextNote += NoteSeconds;
        foreach (AlertBook book in _books)
            Note(book, a, now, truth);
    }

    private static void Note(AlertBook book, Assessment a, double now, in FilmTruth truth)
    {
        if (a.Regime.Regime == Regime.Running && double.IsFinite(a.Forecast.ProbabilityIn5Minutes))
            book.Probabilities.Add((now, a.Forecast.ProbabilityIn5Minutes));
        if (a.Oscillation.Rhythm == Rhythm.RollTurn)
            book.TurnErrors.Add(a.Oscillation.FrequencyHz / a.Oscillation.Multiple / truth.RollTurnHertz - 1);
    }

    private bool IsTrue(Condition condition, in FilmTruth truth) =>
        condition == Condition.RollEnding && truth.RollMeters < RollMinutes * _machine.LineMetersPerMinute;
}
