namespace Dancerwatch.Bench.Speed;

/// <summary>A line of the table of goals, for whoever collects them: what, goal, figure, baseline and their ratio.</summary>
internal static class Row
{
    public static void Print(
        string what,
        string goal,
        string figure,
        string baseline = "",
        string ratio = ""
    ) => Console.WriteLine($"row\t{what}\t{goal}\t{figure}\t{baseline}\t{ratio}");
}
