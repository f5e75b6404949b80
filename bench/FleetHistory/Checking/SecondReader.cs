using System.Globalization;
using Parquet;
using Parquet.Schema;

namespace Dancerwatch.Bench.FleetHistory.Checking;

/// <summary>
/// Reads the data set's folders and files by a reader that has nothing to do with DuckDB or with ours: Parquet.Net.
/// </summary>
internal static class SecondReader
{
    /// <summary>Of each site: readings, and those with the machine running.</summary>
    public static async Task<Dictionary<string, (long Readings, long Running)>> CountAsync(string fleet)
    {
        Dictionary<string, (long Readings, long Running)> counts = [];
        foreach (
            string path in Directory
                .EnumerateFiles(Path.Combine(fleet, "readings"), "*.parquet", SearchOption.AllDirectories)
                .Where(path => !Path.GetFileName(path).StartsWith('_'))
        )
        {
            string site = path.Split('/').Single(part => part.StartsWith("site=", StringComparison.Ordinal))[
                5..
            ];
            (long readings, long running) = counts.GetValueOrDefault(site);
            await using ParquetReader reader = await ParquetReader.CreateAsync(path);
            DataField field = reader.Schema.DataFields.Single(f => f.Name == "running");
            for (int i = 0; i < reader.RowGroupCount; i++)
            {
                using ParquetRowGroupReader group = reader.OpenRowGroupReader(i);
                double?[] values = new double?[group.RowCount];
                await group.ReadAsync<double>(field, values);
                readings += values.Length;
                running += values.Count(value => value == 1);
            }
            counts[site] = (readings, running);
        }
        return counts;
    }

    public static IEnumerable<Finding> Check(
        IReadOnlyList<AnswerRow> answer,
        Dictionary<string, (long Readings, long Running)> counted
    )
    {
        foreach (AnswerRow row in answer)
        {
            (long readings, long running) = counted.GetValueOrDefault(row.Text("site"));
            yield return new Finding(
                "the second reader",
                readings == (long)row.Number("readings") && running == (long)row.Number("running"),
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"{row.Text("site")}: {readings} readings, {running} of them running, by DuckDB {row.Number("readings")} and {row.Number("running")}"
                )
            );
        }
    }
}
