using DuckDB.NET.Data;

namespace Dancerwatch.Bench.FleetHistory.Checking;

/// <summary>One row of an answer, by column.</summary>
internal sealed record AnswerRow(IReadOnlyDictionary<string, object?> Values)
{
    public string Text(string column) => Convert.ToString(Values[column], null) ?? "";

    public double Number(string column) =>
        Values[column] is { } value ? Convert.ToDouble(value, null) : double.NaN;
}

/// <summary>Asks the questions of docs/fleet-history of a data set, by DuckDB; the files are run as they are.</summary>
internal sealed class FleetQuestions : IDisposable
{
    private readonly DuckDBConnection _connection = new("DataSource=:memory:");
    private readonly string _questions;
    private readonly string _fleet;

    /// <param name="questions">Where the SQL files are.</param>
    /// <param name="fleet">Where the data set is.</param>
    public FleetQuestions(string questions, string fleet)
    {
        (_questions, _fleet) = (questions, fleet);
        _connection.Open();
    }

    /// <summary>Runs a file; its last statement's rows are the answer.</summary>
    public IReadOnlyList<AnswerRow> Ask(string file)
    {
        using DuckDBCommand command = _connection.CreateCommand();
        command.CommandText = File.ReadAllText(Path.Combine(_questions, file))
            .Replace("'fleet/", $"'{_fleet}/", StringComparison.Ordinal);
        using DuckDBDataReader rows = command.ExecuteReader();
        List<AnswerRow> answer = [];
        while (rows.Read())
        {
            Dictionary<string, object?> values = [];
            for (int i = 0; i < rows.FieldCount; i++)
                values[rows.GetName(i)] = rows.IsDBNull(i) ? null : rows.GetValue(i);
            answer.Add(new AnswerRow(values));
        }
        return answer;
    }

    public void Dispose() => _connection.Dispose();
}
