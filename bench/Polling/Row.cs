namespace Dancerwatch.Polling;

/// <summary>A line of the table of goals, for whoever collects them: what, goal, figure, baseline and their ratio.</summary>
internal static class Row
{
    /// <param name="goal">With its comparison and unit, such as <c>&gt;= 12000 /s</c>.</param>
    public static void Print(string what, string goal, double figure, double baseline)
    {
        Console.WriteLine(
            $"row\t{what}\t{goal}\t{Short(figure)}\t{Short(baseline)}\t{Short(figure / baseline)}"
        );
    }

    private static string Short(double value) =>
        Math.Abs(value) >= 100 ? value.ToString("0") : value.ToString("0.###");
}
