using System.Globalization;
using Dancerwatch.Bench.WarningQuality.Runs;
using Dancerwatch.Signals.Fill;

namespace Dancerwatch.Bench.WarningQuality.Watchers;

/// <summary>A way to watch, on a feed, at a sensitivity.</summary>
/// <param name="Way">For the table.</param>
/// <param name="Feed">What is read.</param>
/// <param name="Sensitivity">1 is how it is shipped, or commonly set up.</param>
internal sealed record WatcherKind(string Way, Feed Feed, double Sensitivity)
{
    public const string Ours = "dancerwatch";
    private const string FixedLimits = "fixed limits";
    private const string ThreeSigma = "three sigma";
    private const string PlainReference = "plain reference";

    /// <summary>One setting moved for the operating curves.</summary>
    private static readonly double[] s_sensitivities = [0.35, 0.5, 0.7, 1, 1.4, 2, 3];

    public string Name => string.Create(CultureInfo.InvariantCulture, $"{Way} {Feed} {Sensitivity}");

    public static string NameOf(string way, Feed feed) => new WatcherKind(way, feed, 1).Name;

    /// <summary>Dancerwatch on both feeds as shipped.</summary>
    public static IReadOnlyList<WatcherKind> Shipped { get; } =
    [.. Enum.GetValues<Feed>().Select(feed => new WatcherKind(Ours, feed, 1))];

    /// <summary>All ways, on both feeds, at all sensitivities.</summary>
    public static IReadOnlyList<WatcherKind> All { get; } =
    [
        .. from way in new[] { Ours, FixedLimits, ThreeSigma, PlainReference }
        from feed in Enum.GetValues<Feed>()
        from sensitivity in s_sensitivities
        select new WatcherKind(way, feed, sensitivity),
    ];

    /// <summary>Watchers of all these kinds for one machine.</summary>
    public static IReadOnlyList<IWatcher> Make(IReadOnlyList<WatcherKind> kinds, WatcherSettings machine) =>
        [
            .. kinds
                .Where(kind => kind.Way == Ours)
                .GroupBy(kind => kind.Feed)
                .Select(same => new AssessorWatcher(
                    same.Key,
                    machine,
                    [.. same.Select(kind => (kind.Name, kind.Sensitivity))]
                )),
            .. kinds.Where(kind => kind.Way != Ours).Select(kind => kind.Baseline(machine.Settings.Fill)),
        ];

    private FillAlarm Baseline(FillSettings fill) =>
        Way switch
        {
            FixedLimits => new FixedLimits(Name, Feed, fill, Sensitivity),
            ThreeSigma => new ThreeSigma(Name, Feed, fill, Sensitivity),
            PlainReference => new PlainReference(Name, Feed, fill, Sensitivity),
            _ => throw new InvalidOperationException($"no baseline is called {Way}"),
        };
}
