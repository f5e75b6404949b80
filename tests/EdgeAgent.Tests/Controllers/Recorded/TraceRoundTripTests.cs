using System.Globalization;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers.Recorded;
using Dancerwatch.Signals.Readings;
using FsCheck.Xunit;

namespace Dancerwatch.EdgeAgent.Tests.Controllers.Recorded;

public sealed class TraceRoundTripTests
{
    private static readonly DateTimeOffset s_morning = new(2026, 11, 25, 6, 0, 0, TimeSpan.Zero);
    private static readonly WatchedMachineSettings[] s_machines =
    [
        Traces.Machine("tea-1", Signal.LineSpeed) with
        {
            Columns = new Dictionary<Signal, string> { [Signal.Gap] = "dancer, \"raw\"" },
        },
        Traces.Machine("tea,2", Signal.Product, Signal.Running),
    ];

    [Property]
    public void What_was_written_is_read_again_bit_by_bit(long start, double[] numbers, bool second)
    {
        WatchedMachineSettings machine = s_machines[second ? 1 : 0];
        List<Reading> written = [];
        long ticks = start % (1L << 58);
        foreach (
            double number in numbers.Concat([
                double.NaN,
                double.NegativeInfinity,
                double.Epsilon,
                -0.0,
                1.0 / 3,
            ])
        )
        {
            SignalValues values = SignalValues.Unknown;
            foreach (Signal signal in TraceColumns.SignalsOf(machine))
                values[signal] = double.IsNaN(number) ? double.NaN : number;
            written.Add(new Reading(++ticks, values, (Quality)(written.Count % 3)));
        }

        using StringWriter text = new(CultureInfo.InvariantCulture);
        CsvTraceWriter writer = new(text, s_machines);
        foreach (Reading reading in written)
            writer.Write(second ? 1 : 0, reading, s_morning);
        using CsvTraceReader reader = Traces.Reader(text.ToString(), s_machines);
        List<TraceRow> read = Traces.ReadAll(reader);

        Assert.Empty(reader.Findings.All);
        Assert.Equal(written.Select(reading => reading.Ticks), read.Select(row => row.Reading.Ticks));
        Assert.Equal(written.Select(reading => reading.Quality), read.Select(row => row.Reading.Quality));
        Assert.Equal(written.Select(Traces.Bits), read.Select(row => Traces.Bits(row.Reading)));
        Assert.All(read, row => Assert.Equal(second ? 1 : 0, row.Machine));
        Assert.Equal(s_morning.AddTicks(-written[0].Ticks), reader.Zero);
    }

    [Fact]
    public void A_person_can_read_what_is_written()
    {
        using StringWriter text = new(CultureInfo.InvariantCulture);
        CsvTraceWriter writer = new(text, [Traces.Machine("tea-1", Signal.Running)]);
        SignalValues values = SignalValues.Unknown;
        values[Signal.Gap] = 2048;
        values[Signal.UnwindSpeed] = 0.1;

        writer.Write(0, new Reading(12_345_678, values, Quality.Partial), s_morning);

        Assert.Equal(
            "time_s,time,machine,quality,gap,unwindSpeed,running\n1.2345678,2026-11-25T06:00:00.0000000Z,tea-1,partial,2048,0.1,\n",
            text.ToString()
        );
    }
}
