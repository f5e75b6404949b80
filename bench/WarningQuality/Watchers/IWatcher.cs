using Dancerwatch.Bench.WarningQuality.Runs;
using Dancerwatch.Signals.Readings;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.Bench.WarningQuality.Watchers;

/// <summary>Something that looks at readings and warns.</summary>
internal interface IWatcher
{
    /// <summary>What it is given to read.</summary>
    Feed Feed { get; }

    /// <summary>What it said, by sensitivity where it has several.</summary>
    IReadOnlyList<AlertBook> Books { get; }

    /// <param name="reading">What was read.</param>
    /// <param name="truth">For notes on what it says only: never to warn by.</param>
    void Take(in Reading reading, in FilmTruth truth);
}
