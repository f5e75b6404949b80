using System.Globalization;

namespace Dancerwatch.Bench.FleetHistory.Checking;

/// <summary>A CSV file of the truth.</summary>
internal static class TruthTable
{
    public static IReadOnlyList<AnswerRow> Read(string path)
    {
        string[] lines = File.ReadAllLines(path);
        string[] columns = lines[0].Split(',');
        return
        [
            .. lines
                .Skip(1)
                .Select(line => new AnswerRow(
                    columns.Zip(line.Split(',')).ToDictionary(c => c.First, c => (object?)Value(c.Second))
                )),
        ];
    }

    private static object Value(string text) =>
        double.TryParse(text, CultureInfo.InvariantCulture, out double number) ? number : text;
}
