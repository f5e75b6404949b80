namespace Dancerwatch.Scale;

/// <summary>How large plants are.</summary>
internal static class Sizes
{
    /// <summary>Machines on one controller, as in config/tea-works.jsonc.</summary>
    public const int MachinesPerController = 8;

    /// <summary>The model is fitted to these ...</summary>
    public static IReadOnlyList<int> Fitted { get; } = [1, 4, 16, 64];

    /// <summary>... and checked on these.</summary>
    public static IReadOnlyList<int> Checked { get; } = [10, 100, 256, 1_000];

    public static IEnumerable<int> Measured => Fitted.Concat(Checked).Order();

    /// <summary>Machines that one daemon is given where there are more.</summary>
    public const int MostPerDaemon = 256;

    /// <summary>What is told of.</summary>
    public static IReadOnlyList<int> Told { get; } = [1, 10, 100, 1_000, 10_000];

    public static int Controllers(int machines) =>
        (machines + MachinesPerController - 1) / MachinesPerController;
}
