using System.Globalization;
using Dancerwatch.Signals.Bands;
using Dancerwatch.Signals.Fill;

namespace Dancerwatch.Signals.Tests.Bands;

/// <summary>Percentiles against values from outside the project.</summary>
public sealed class BandReferenceTests
{
    /// <summary>NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.6.2.</summary>
    private static readonly double[] s_nist =
    [
        95.1772,
        95.1567,
        95.1937,
        95.1959,
        95.1442,
        95.0610,
        95.1591,
        95.1195,
        95.1065,
        95.0925,
        95.1990,
        95.1682,
    ];

    [Fact]
    public void The_NIST_data_have_the_type_1_percentiles_that_R_computes()
    {
        FillSettings settings = new()
        {
            GapMinimum = 95,
            GapMaximum = 96,
            GapResolution = 0.0001,
            GapAtEmpty = 95,
            GapAtFull = 96,
        };
        SlidingBands bands = new(settings, new FillScale(settings), pollSeconds: 0.02);
        for (int i = 0; i < s_nist.Length; i++)
            bands.Add(i * TimeSpan.TicksPerMillisecond, s_nist[i]);

        // R 4.2.2, quantile(x, p, type = 1), as 100 (x - 95).
        BandEstimate band = bands.OneMinute;
        Assert.Equal(12, band.Count);
        Assert.Equal(
            [6.10, 6.10, 10.65, 15.67, 17.72, 19.90, 19.90],
            new[] { band.P01, band.P05, band.P25, band.P50, band.P75, band.P95, band.P99 }.Select(x =>
                Math.Round(x, 9)
            )
        );
    }

    [Fact]
    public void The_90th_percentile_of_the_NIST_data_is_the_eleventh_reading_next_to_the_handbooks_own()
    {
        GapCounts counts = new(10_000);
        foreach (double x in s_nist)
            counts.Add((ushort)Math.Round((x - 95) * 10_000));

        double eleventh = 95 + (counts.Smallest(11) / 10_000.0); // ceil(0.9 * 12)
        double twelfth = 95 + (counts.Smallest(12) / 10_000.0);

        Assert.Equal(95.1959, eleventh, 1e-9); // R, type 1
        Assert.InRange(95.1981, eleventh, twelfth); // the handbook interpolates (type 6)
    }

    [Theory]
    [InlineData("# rising: ", 800, 3600, 0)]
    [InlineData("# falling: ", 3600, 800, 0)]
    [InlineData("# last 200, rising: ", 800, 3600, 400)]
    public void A_random_walk_of_gaps_has_the_percentiles_that_R_computes(
        string expectation,
        double empty,
        double full,
        int skip
    )
    {
        string[] lines = File.ReadAllLines(ReferenceFile("bands", "gaps-type-1.csv"));
        string expected = lines.Single(line => line.StartsWith(expectation, StringComparison.Ordinal));
        double[] gaps = [.. lines.SkipWhile(line => line != "gap").Skip(1).Select(Number)];
        FillSettings settings = new() { GapAtEmpty = empty, GapAtFull = full };
        SlidingBands bands = new(settings, new FillScale(settings), pollSeconds: 0.3);

        // 0.3 s apart, a minute holds the last 200.
        for (int i = 0; i < gaps.Length; i++)
            bands.Add(i * 300 * TimeSpan.TicksPerMillisecond, gaps[i]);
        BandEstimate band = skip == 0 ? bands.FifteenMinutes : bands.OneMinute;

        double[] values = [.. expected[expectation.Length..].Split(' ').Select(Number)];
        Assert.Equal(600, gaps.Length);
        Assert.Equal(gaps.Length - skip, band.Count);
        Assert.Equal(values[0], band.P01, 1e-9);
        Assert.Equal(values[1], band.P05, 1e-9);
        Assert.Equal(values[2], band.P25, 1e-9);
        Assert.Equal(values[3], band.P50, 1e-9);
        Assert.Equal(values[4], band.P75, 1e-9);
        Assert.Equal(values[5], band.P95, 1e-9);
        Assert.Equal(values[6], band.P99, 1e-9);
    }

    private static double Number(string text) => double.Parse(text, CultureInfo.InvariantCulture);

    private static string ReferenceFile(params string[] parts)
    {
        DirectoryInfo? up = new(AppContext.BaseDirectory);
        while (up is not null && !File.Exists(Path.Combine(up.FullName, "Dancerwatch.slnx")))
            up = up.Parent;
        Assert.NotNull(up);
        return Path.Combine([up.FullName, "tests", "Reference", .. parts]);
    }
}
