using Dancerwatch.Signals;
using Dancerwatch.Signals.Readings;
using DuckDB.NET.Data;

namespace Dancerwatch.EndToEnd.Tests.Recording;

/// <summary>Reads recordings by DuckDB 1.5, whose Parquet reader has nothing in common with ours.</summary>
internal static class DuckDb
{
    private static readonly Signal[] s_signals = Enum.GetValues<Signal>();

    /// <summary>Copies a machine's readings to one file, as docs/recordings.md says that it is to be done.</summary>
    public static void Copy(string ring, string machine, string into)
    {
        using DuckDBConnection connection = new("DataSource=:memory:");
        connection.Open();
        using DuckDBCommand command = connection.CreateCommand();
        command.CommandText = $"""
            copy (
                select * exclude (machine, day)
                from read_parquet('{ring}/**/*.parquet', hive_partitioning = true)
                where machine = '{machine}' order by run, ticks_100ns
            ) to '{into}' (format parquet, compression gzip, row_group_size 8192, parquet_version v1)
            """;
        command.ExecuteNonQuery();
    }

    /// <summary>A machine's readings, in order, with their run and their wall-clock time (µs since 1970-01-01 UTC).</summary>
    public static List<(long Run, long Microseconds, Reading Reading)> Read(string ring, string machine)
    {
        using DuckDBConnection connection = new("DataSource=:memory:");
        connection.Open();
        using DuckDBCommand command = connection.CreateCommand();
        command.CommandText = $"""
            select *, epoch_us(time) as time_us
            from read_parquet('{ring}/**/*.parquet', hive_partitioning = true, union_by_name = true)
            where machine = '{machine}' and strftime(time, '%Y-%m-%d') = day::varchar
            order by run, ticks_100ns
            """;
        using DuckDBDataReader rows = command.ExecuteReader();
        Dictionary<string, int> places = Enumerable
            .Range(0, rows.FieldCount)
            .ToDictionary(rows.GetName, place => place);
        List<(long, long, Reading)> readings = [];
        while (rows.Read())
        {
            SignalValues values = SignalValues.Unknown;
            foreach (Signal signal in s_signals)
            {
                if (places.TryGetValue(signal.Code(), out int place) && !rows.IsDBNull(place))
                    values[signal] = rows.GetDouble(place);
            }
            Quality quality = rows.GetString(places["quality"]) switch
            {
                "good" => Quality.Good,
                "partial" => Quality.Partial,
                _ => Quality.Bad,
            };
            Reading reading = new(rows.GetInt64(places["ticks_100ns"]), values, quality);
            readings.Add((rows.GetInt64(places["run"]), rows.GetInt64(places["time_us"]), reading));
        }
        return readings;
    }
}
