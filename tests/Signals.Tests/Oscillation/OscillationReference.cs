using System.Globalization;

namespace Dancerwatch.Signals.Tests.Oscillation;

/// <summary>A file of tests/Reference/oscillation: '#' lines of provenance and expectations, a header row, two columns.</summary>
internal sealed class OscillationReference
{
    private readonly Dictionary<string, double> _expected = [];

    private OscillationReference(double[] times, double[] values) => (Times, Values) = (times, values);

    public double[] Times { get; }
    public double[] Values { get; }

    /// <summary>A number given in the header as name=value.</summary>
    public double this[string name] => _expected[name];

    public static OscillationReference Read(string name)
    {
        string[] lines = File.ReadAllLines(Path.Combine(Folder(), name + ".csv"));
        double[][] rows =
        [
            .. lines
                .Where(line => char.IsAsciiDigit(line[0]) || line[0] == '-')
                .Select(line => Numbers(line.Split(','))),
        ];
        OscillationReference reference = new(
            [.. rows.Select(row => row[0])],
            [.. rows.Select(row => row[1])]
        );
        foreach (string[] pair in lines.Where(line => line[0] == '#').Select(line => line[1..].Split('=')))
            if (pair.Length == 2 && double.TryParse(pair[1], CultureInfo.InvariantCulture, out double value))
                reference._expected[pair[0].Trim()] = value;
        return reference;
    }

    private static double[] Numbers(string[] cells) =>
        [.. cells.Select(cell => double.Parse(cell, CultureInfo.InvariantCulture))];

    private static string Folder()
    {
        for (DirectoryInfo? up = new(AppContext.BaseDirectory); up is not null; up = up.Parent)
        {
            string folder = Path.Combine(up.FullName, "tests", "Reference", "oscillation");
            if (Directory.Exists(folder))
                return folder;
        }
        throw new DirectoryNotFoundException(
            $"no tests/Reference/oscillation above {AppContext.BaseDirectory}"
        );
    }
}
