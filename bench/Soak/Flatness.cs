using System.Globalization;

namespace Dancerwatch.Soak;

/// <summary>A quantity that must not grow: its samples after the warm-up, the first tenth of them against the last.</summary>
/// <param name="step">Growth of less than this is none: of what is counted, one.</param>
internal sealed class Flatness(string what, string unit, double mostGrowthPercent, double step = 0)
{
    private readonly List<double> _samples = [];

    public void Add(double sample) => _samples.Add(sample);

    /// <summary>Prints what there is to say.</summary>
    /// <returns>Whether it is flat.</returns>
    public bool Print()
    {
        int tenth = Math.Max(1, _samples.Count / 10);
        double first = _samples.Take(tenth).Average();
        double last = _samples.TakeLast(tenth).Average();
        double growth = 100 * (last - first) / first;
        bool isFlat = growth <= mostGrowthPercent || last - first < step;
        Console.WriteLine(
            string.Create(
                CultureInfo.InvariantCulture,
                $"{what + ", " + unit, -38} {first, 9:0.00} {last, 9:0.00} {_samples.Max(), 9:0.00} {growth, 8:+0.0;-0.0;0.0} %   at most {mostGrowthPercent:+0} %{(isFlat ? "" : "   MISSED")}"
            )
        );
        return isFlat;
    }

    public static void PrintHead() =>
        Console.WriteLine($"{"after the warm-up", -38} {"first", 9} {"last", 9} {"most", 9} {"growth", 10}");
}
