using System.Buffers;

namespace Dancerwatch.EdgeAgent.Recording.Parquet;

/// <summary>What a file's footer says (FileMetaData of parquet.thrift): its columns, its row groups, and facts about it.</summary>
/// <param name="Facts">Its key-value metadata.</param>
internal sealed record Footer(
    IReadOnlyList<Column> Columns,
    IReadOnlyList<RowGroup> RowGroups,
    IReadOnlyDictionary<string, string> Facts
)
{
    public const string Writer = "dancerwatch";

    public long Rows => RowGroups.Sum(group => (long)group.Rows);

    /// <summary>Place of a column; -1 where there is none of that name.</summary>
    public int PlaceOf(string column)
    {
        for (int i = 0; i < Columns.Count; i++)
        {
            if (Columns[i].Name == column)
                return i;
        }
        return -1;
    }

    public void Write(IBufferWriter<byte> into)
    {
        CompactWriter w = new(into);
        w.BeginElement();
        w.Field(1, 2); // version
        w.List(2, CompactType.Struct, Columns.Count + 1);
        WriteRoot(w);
        foreach (Column column in Columns)
            WriteSchema(w, column);
        w.Field(3, Rows);
        w.List(4, CompactType.Struct, RowGroups.Count);
        for (int i = 0; i < RowGroups.Count; i++)
            RowGroups[i].Write(w, Columns, i);
        w.List(5, CompactType.Struct, Facts.Count);
        foreach ((string key, string value) in Facts)
        {
            w.BeginElement();
            w.Field(1, key);
            w.Field(2, value);
            w.End();
        }
        w.Field(6, Writer);
        // Numbers are ordered as their type orders them: without this nobody trusts the statistics.
        w.List(7, CompactType.Struct, Columns.Count);
        foreach (Column _ in Columns)
        {
            w.BeginElement();
            w.Begin(1);
            w.End();
            w.End();
        }
        w.End();
    }

    private void WriteRoot(CompactWriter w)
    {
        w.BeginElement();
        w.Field(4, "readings");
        w.Field(5, Columns.Count);
        w.End();
    }

    private static void WriteSchema(CompactWriter w, Column column)
    {
        const int utf8 = 0;
        const int timestampMicros = 10;
        w.BeginElement();
        w.Field(1, (int)column.Type);
        w.Field(3, column.IsOptional ? 1 : 0);
        w.Field(4, column.Name);
        // The older name of the meaning, then the newer: readers know one or the other.
        if (column.Meaning == Meaning.Text)
        {
            w.Field(6, utf8);
            w.Begin(10);
            w.Begin(1);
            w.End();
            w.End();
        }
        else if (column.Meaning == Meaning.UtcMicroseconds)
        {
            w.Field(6, timestampMicros);
            w.Begin(10);
            w.Begin(8);
            w.Field(1, true);
            w.Begin(2);
            w.Begin(2);
            w.End();
            w.End();
            w.End();
            w.End();
        }
        w.End();
    }
}
