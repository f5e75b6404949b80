using System.Globalization;
using System.Text;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers.Recorded;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Tests.Controllers.Recorded;

public sealed class CsvTraceReaderTests
{
    [Fact]
    public void Columns_are_found_by_name_in_any_order_and_an_empty_cell_is_unknown()
    {
        using CsvTraceReader reader = Traces.Reader(
            "operator,unwindSpeed,gap,time_s,running\nAda,12.5,2048,0.0200000,\nAda,,2049,0.0400001,1\n",
            Traces.Machine("tea-1", Signal.Running)
        );

        List<TraceRow> rows = Traces.ReadAll(reader);

        Assert.Equal([200_000, 400_001], rows.Select(row => row.Reading.Ticks));
        Assert.Equal([Quality.Partial, Quality.Bad], rows.Select(row => row.Reading.Quality));
        Assert.Equal(2048, rows[0].Reading[Signal.Gap]);
        Assert.Equal(12.5, rows[0].Reading[Signal.UnwindSpeed]);
        Assert.Equal(double.NaN, rows[0].Reading[Signal.Running]);
        Assert.Equal(double.NaN, rows[1].Reading[Signal.UnwindSpeed]);
        Assert.Empty(reader.Findings.All);
    }

    [Fact]
    public void A_configured_column_is_taken_instead_of_the_signals_own_name()
    {
        WatchedMachineSettings machine = Traces.Machine("tea-1") with
        {
            Columns = new Dictionary<Signal, string> { [Signal.Gap] = "dancer, counts" },
        };
        using CsvTraceReader reader = Traces.Reader(
            "time_s,gap,\"dancer, counts\",unwindSpeed\n0,1,2048,3\n",
            machine
        );

        Assert.Equal(2048, Assert.Single(Traces.ReadAll(reader)).Reading[Signal.Gap]);
    }

    [Theory]
    [InlineData("time;gap;unwindSpeed\n2026-11-25T06:00:00.02Z;1;2\n2026-11-25T07:00:00.04+01:00;1;2\n")]
    [InlineData(
        "time\tgap\tunwindSpeed\r\n2026-11-25 06:00:00.02\t1\t2\r\n\r\n2026-11-25 06:00:00.04\t1\t2\r\n"
    )]
    public void ISO_8601_times_count_from_the_first_whatever_the_separator(string text)
    {
        using CsvTraceReader reader = Traces.Reader(text);

        Assert.Equal([0, 200_000], Traces.ReadAll(reader).Select(row => row.Reading.Ticks));
        Assert.Equal(new DateTimeOffset(2026, 11, 25, 6, 0, 0, 20, TimeSpan.Zero), reader.Zero);
        Assert.Empty(reader.Findings.All);
    }

    [Fact]
    public void Seconds_order_the_rows_and_a_wall_clock_beside_them_only_dates_them()
    {
        // The wall clock was set back an hour between the two rows.
        using CsvTraceReader reader = Traces.Reader(
            "time_s,time,gap,unwindSpeed\n5,2026-11-25T06:00:05Z,1,2\n6,2026-11-25T05:00:06Z,1,2\n"
        );

        Assert.Equal([50_000_000, 60_000_000], Traces.ReadAll(reader).Select(row => row.Reading.Ticks));
        Assert.Equal(new DateTimeOffset(2026, 11, 25, 6, 0, 0, TimeSpan.Zero), reader.Zero);
        Assert.Empty(reader.Findings.All);
    }

    [Theory]
    [InlineData("0.02,1,2", "Row with the time of the row before, left out: once, on line 3 (0.02)")]
    [InlineData(
        "0.01,1,2",
        "Row with a time before that of the row before, left out: once, on line 3 (0.01)"
    )]
    [InlineData(
        "0.04,1",
        "Row with another number of cells than the header, left out: once, on line 3 (0.04,1)"
    )]
    [InlineData(
        "0.04,\"1,2",
        "Row with another number of cells than the header, left out: once, on line 3 (0.04,\"1,2)"
    )]
    [InlineData("noon,1,2", "Row whose time_s is no number of seconds, left out: once, on line 3 (noon)")]
    [InlineData("NaN,1,2", "Row whose time_s is no number of seconds, left out: once, on line 3 (NaN)")]
    [InlineData("1e20,1,2", "Row whose time_s is no number of seconds, left out: once, on line 3 (1e20)")]
    public void A_row_that_cannot_be_used_is_one_finding_and_the_rest_goes_on(string bad, string finding)
    {
        using CsvTraceReader reader = Traces.Reader($"time_s,gap,unwindSpeed\n0.02,1,2\n{bad}\n0.06,3,4\n");

        Assert.Equal([200_000, 600_000], Traces.ReadAll(reader).Select(row => row.Reading.Ticks));
        Assert.Equal(finding, Assert.Single(reader.Findings.All).ToString());
    }

    [Fact]
    public void A_thousand_bad_rows_are_one_finding_with_their_number()
    {
        string bad = string.Concat(Enumerable.Repeat("0.02,1,2\n", 1000));
        using CsvTraceReader reader = Traces.Reader($"time_s,gap,unwindSpeed\n0.02,1,2\n{bad}0.04,1,2\n");

        Assert.Equal(2, Traces.ReadAll(reader).Count);
        Assert.Equal(
            "Row with the time of the row before, left out: 1000 times, first on line 3 (0.02)",
            Assert.Single(reader.Findings.All).ToString()
        );
    }

    [Fact]
    public void A_cell_that_is_no_number_is_unknown_and_named()
    {
        using CsvTraceReader reader = Traces.Reader(
            "time_s,gap,unwindSpeed\n0.02,1,bad tag\n0.04,\"1\",Infinity\n"
        );

        List<TraceRow> rows = Traces.ReadAll(reader);

        Assert.Equal(Quality.Bad, rows[0].Reading.Quality);
        Assert.Equal(double.PositiveInfinity, rows[1].Reading[Signal.UnwindSpeed]);
        Assert.Equal(
            "Cell of column \"unwindSpeed\" that is no number, taken as unknown: once, on line 2 (bad tag)",
            Assert.Single(reader.Findings.All).ToString()
        );
    }

    [Fact]
    public void A_pause_longer_than_data_lost_allows_is_a_finding_and_its_rows_count()
    {
        using CsvTraceReader reader = Traces.Reader("time_s,gap,unwindSpeed\n0,1,2\n3,1,2\n15.5,1,2\n");

        Assert.Equal(3, Traces.ReadAll(reader).Count);
        Assert.Equal(
            "No row of tea-1 for more than 3 s: once, on line 4 (12.5 s)",
            Assert.Single(reader.Findings.All).ToString()
        );
    }

    [Theory]
    [InlineData("time_s,gap,unwindSpeed\n0.02,1,2\n0.04,1,2", 1)] // whole by chance, or 2 of 23.5
    [InlineData("time_s,gap,unwindSpeed\n0.02,1,2\n0.0", 1)]
    [InlineData("time_s,gap,unwindSpeed\n0.02,1,2\n", 0)]
    public void A_last_line_without_its_end_is_left_out(string text, int findings)
    {
        using CsvTraceReader reader = Traces.Reader(text);

        Assert.Single(Traces.ReadAll(reader));
        Assert.Equal(findings, reader.Findings.All.Count);
        Assert.All(
            reader.Findings.All,
            finding =>
                Assert.StartsWith("The last line has no line end", finding.What, StringComparison.Ordinal)
        );
    }

    [Fact]
    public void Machines_are_told_apart_by_a_column_each_with_a_time_of_its_own()
    {
        using CsvTraceReader reader = Traces.Reader(
            "time_s,machine,gap,unwindSpeed\n0.02,tea-2,1,2\n0.01,tea-1,3,4\n0.03,tea-9,5,6\n",
            Traces.Machine("tea-1"),
            Traces.Machine("tea-2")
        );

        Assert.Equal([1, 0], Traces.ReadAll(reader).Select(row => row.Machine));
        Assert.Equal(
            "Row of a machine the configuration does not know, left out: once, on line 4 (tea-9)",
            Assert.Single(reader.Findings.All).ToString()
        );
    }

    [Fact]
    public void Optional_signals_without_a_column_are_one_finding_with_the_column_that_was_meant()
    {
        using CsvTraceReader reader = Traces.Reader(
            "time_s,gap,unwindSpeed,line_speed\n0,1,2,3\n",
            Traces.Machine("tea-1", Signal.LineSpeed, Signal.GapAtFull)
        );

        Assert.Equal(
            "Signals of tea-1 without a column, left out: once, on line 1 (\"lineSpeed\" (is it \"line_speed\"?), \"gapAtFull\")",
            Assert.Single(reader.Findings.All).ToString()
        );
    }

    [Theory]
    [InlineData("", "The file is empty.")]
    [InlineData(
        "t,gap,unwind_speed\n",
        "There is no column time_s (seconds) or time (ISO 8601).\nThere is no column \"unwindSpeed\" (is it \"unwind_speed\"?) for unwindSpeed of tea-1.\nThe header has: t, gap, unwind_speed."
    )]
    [InlineData(
        "time_s,gap,gap,unwindSpeed\n",
        "Column \"gap\" is there 2 times.\nThe header has: time_s, gap, gap, unwindSpeed."
    )]
    public void A_header_that_lacks_what_is_required_is_refused_with_all_reasons(string text, string message)
    {
        TraceException refusal = Assert.Throws<TraceException>(() => Traces.Reader(text));

        Assert.Equal(message, refusal.Message);
    }

    [Fact]
    public void A_trace_of_several_machines_needs_the_machine_column()
    {
        TraceException refusal = Assert.Throws<TraceException>(() =>
            Traces.Reader("time_s,gap,unwindSpeed\n", Traces.Machine("tea-1"), Traces.Machine("tea-2"))
        );

        Assert.Contains("--machine", refusal.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void A_header_that_is_none_is_refused_in_a_sentence_however_long_it_is()
    {
        string[] headers = [new('x', 100_000), string.Join(',', Enumerable.Range(0, 5_000))];
        Assert.All(
            headers,
            header =>
                Assert.InRange(
                    Assert.Throws<TraceException>(() => Traces.Reader($"{header}\n1,2")).Message.Length,
                    50,
                    1_000
                )
        );
    }

    [Fact]
    public void Quoted_cells_of_a_file_with_a_mark_and_both_line_ends_are_read()
    {
        using CsvTraceReader reader = Traces.Reader(
            "\uFEFF\"time_s\",\"gap\",\"the \"\"note\"\", if any\",unwindSpeed\r\n\"0.02\", \" 1 \",\"a,\"\"b\"\",c\",\u00A02\r\n\"0.04\",,\"\",\"\"\r\n"
        );

        List<TraceRow> rows = Traces.ReadAll(reader);

        Assert.Equal([200_000, 400_000], rows.Select(row => row.Reading.Ticks));
        Assert.Equal(2, rows[0].Reading[Signal.UnwindSpeed]);
        Assert.Equal([Quality.Bad, Quality.Bad], rows.Select(row => row.Reading.Quality));
        Assert.Equal(
            "Cell of column \"gap\" that is no number, taken as unknown: once, on line 2 (\" 1 \")",
            Assert.Single(reader.Findings.All).ToString()
        );
    }

    [Fact]
    public void A_row_without_end_is_one_finding_and_the_rest_goes_on()
    {
        string endless = new('7', Utf8Lines.Longest + 10);
        using CsvTraceReader reader = Traces.Reader(
            $"time_s,gap,unwindSpeed\n0.02,1,2\n0.04,1,{endless}\n0.06,3,4\n"
        );

        Assert.Equal([200_000, 600_000], Traces.ReadAll(reader).Select(row => row.Reading.Ticks));
        Assert.Equal(
            $"Row of more than 1048576 bytes, left out: once, on line 3 ({$"0.04,1,{endless}"[..60]}...)",
            Assert.Single(reader.Findings.All).ToString()
        );
    }

    [Fact]
    public void A_row_allocates_nothing()
    {
        const int rows = 20_000;
        string text = string.Concat(
            Enumerable
                .Range(0, rows)
                .Select(i =>
                    string.Create(
                        CultureInfo.InvariantCulture,
                        $"{i / 50.0},2026-11-25T06:00:00Z,{(i % 3 == 0 ? "tea-1" : "tea-9")},12.0067777633667,\"349.47698974609375\"\n"
                    )
                )
        );
        using CsvTraceReader reader = new(
            new MemoryStream(Encoding.UTF8.GetBytes($"time_s,time,machine,gap,unwindSpeed\n{text}")),
            [Traces.Machine("tea-1")],
            ["tea-9"]
        );
        Assert.True(reader.TryRead(out _));

        Assert.Equal(0, Allocated.Bytes(_ => Take(reader, 900)));
        while (reader.TryRead(out _)) { }

        Assert.InRange(reader.Rows, rows / 3, rows);
        Assert.Empty(reader.Findings.All);
    }

    [Fact]
    public void What_is_wrong_again_and_again_allocates_once()
    {
        const int rounds = 5_000;
        string text = string.Concat(
            Enumerable
                .Range(0, rounds)
                .Select(i =>
                    string.Create(
                        CultureInfo.InvariantCulture,
                        $"{10 * i},tea-1,twelve,,odd\n{10 * i},tea-1,1,2,good\nlater,tea-1,1,2,good\n0,tea-7,1,2,good\n1,2\n"
                    )
                )
        );
        using CsvTraceReader reader = new(
            new MemoryStream(Encoding.UTF8.GetBytes($"time_s,machine,gap,unwindSpeed,quality\n{text}")),
            [Traces.Machine("tea-1")]
        );
        // Until each was wrong once, of the second row the time since the first.
        for (int i = 0; i < 3; i++)
            Assert.True(reader.TryRead(out _));

        Assert.Equal(0, Allocated.Bytes(_ => Take(reader, 900)));
        while (reader.TryRead(out _)) { }

        Assert.All(
            reader.Findings.All.Where(finding =>
                !finding.What.StartsWith("Signals", StringComparison.Ordinal)
            ),
            finding => Assert.InRange(finding.Count, rounds - 1, rounds)
        );
        Assert.True(reader.Findings.All.Count >= 7, string.Join(Environment.NewLine, reader.Findings.All));
    }

    private static void Take(CsvTraceReader reader, int rows)
    {
        for (int i = 0; i < rows; i++)
            Assert.True(reader.TryRead(out _));
    }
}
