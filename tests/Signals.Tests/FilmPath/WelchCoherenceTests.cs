using System.Globalization;
using Dancerwatch.Signals.FilmPath;

namespace Dancerwatch.Signals.Tests.FilmPath;

public sealed class WelchCoherenceTests
{
    private const int Length = 512;
    private const int Lines = 129;

    private static double[][] Reference(string name) =>
        [
            .. File.ReadLines(RepositoryFiles.PathOf("tests", "Reference", "film-path", name))
                .Where(line => char.IsAsciiDigit(line[0]) || line[0] == '-')
                .Select(line =>
                    line.Split(',').Select(cell => double.Parse(cell, CultureInfo.InvariantCulture)).ToArray()
                ),
        ];

    private static void Feed(WelchCoherence welch, IEnumerable<double[]> rows)
    {
        foreach (double[] row in rows)
        {
            if (welch.Add(row[0], row[1]))
                welch.Keep(seconds: 0, oldestSeconds: 0);
        }
    }

    [Fact]
    public void Coherence_is_that_of_an_independent_program()
    {
        // scipy.signal.coherence; version and parameters stand in the file.
        double[][] expected = Reference("coherence-expected.csv");
        WelchCoherence welch = new(Length, Lines, segments: 27);
        Feed(welch, Reference("coherence-input.csv"));

        Assert.Equal(12, welch.Count);
        Assert.Equal(Lines, expected.Length);
        // Line 0 is what rounding leaves of a straight line taken out.
        for (int k = 1; k < Lines; k++)
            Assert.Equal(expected[k][1], welch.Coherence[k], tolerance: 1e-5);
    }

    [Fact]
    public void Only_the_newest_segments_count()
    {
        double[][] rows = Reference("coherence-input.csv");
        WelchCoherence all = new(Length, Lines, segments: 5);
        Feed(all, rows);
        WelchCoherence newest = new(Length, Lines, segments: 27);
        Feed(newest, rows[^(6 * Length / 2)..]);

        Assert.Equal(5, all.Count);
        Assert.Equal(5, newest.Count);
        for (int k = 1; k < Lines; k++)
            Assert.Equal(newest.Coherence[k], all.Coherence[k], tolerance: 1e-9);
    }

    [Fact]
    public void Segments_that_are_too_old_do_not_count()
    {
        WelchCoherence welch = new(length: 8, lines: 4, segments: 10);
        int kept = 0;
        for (int i = 0; i < 36; i++)
        {
            if (welch.Add(Math.Sin(i), Math.Cos(3 * i)))
                welch.Keep(seconds: kept++, oldestSeconds: kept - 3);
        }
        Assert.Equal(8, kept);
        Assert.Equal(3, welch.Count);
    }

    [Fact]
    public void Powers_add_up_to_the_mean_square()
    {
        Random random = new(1);
        WelchCoherence welch = new(length: 256, lines: 128, segments: 60);
        Feed(
            welch,
            Enumerable.Range(0, 256 * 20).Select(_ => new[] { Normal(random), 0.1 * Normal(random) })
        );
        double sum = 0;
        double sumY = 0;
        for (int k = 0; k < 128; k++)
            (sum, sumY) = (sum + welch.PowerX[k], sumY + welch.PowerY[k]);

        Assert.Equal(1, 2 * sum / 256, tolerance: 0.06);
        Assert.Equal(0.01, 2 * sumY / 256, tolerance: 0.0006);
    }

    [Fact]
    public void After_a_break_no_segment_holds_samples_from_before_it()
    {
        WelchCoherence welch = new(length: 8, lines: 4, segments: 10);
        for (int i = 0; i < 7; i++)
            Assert.False(welch.Add(i, i));
        welch.Break();
        for (int i = 0; i < 7; i++)
            Assert.False(welch.Add(i, i));
        Assert.True(welch.Add(0, 0));
    }

    private static double Normal(Random random) =>
        Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
}
