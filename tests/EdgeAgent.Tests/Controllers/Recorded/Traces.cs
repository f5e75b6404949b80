using System.Text;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Controllers.Recorded;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Tests.Controllers.Recorded;

/// <summary>Machines and traces for tests.</summary>
internal static class Traces
{
    public static WatchedMachineSettings Machine(string name, params Signal[] optional) =>
        new()
        {
            Name = name,
            Line = "line-1",
            Controller = "packing-a",
            Signals =
            [
                .. new[] { Signal.Gap, Signal.UnwindSpeed }
                    .Concat(optional)
                    .Select(signal => new SignalSource(signal, new TagRequest(signal.Code(), TagType.Real))),
            ],
            Machine = new MachineSettings
            {
                Fill = new FillSettings { GapAtEmpty = 600, GapAtFull = 3500 },
            },
        };

    public static CsvTraceReader Reader(string text, params WatchedMachineSettings[] machines) =>
        new(
            new MemoryStream(Encoding.UTF8.GetBytes(text)),
            machines.Length > 0 ? machines : [Machine("tea-1")]
        );

    public static List<TraceRow> ReadAll(CsvTraceReader reader)
    {
        List<TraceRow> rows = [];
        while (reader.TryRead(out TraceRow row))
            rows.Add(row);
        return rows;
    }

    /// <summary>Bits, not numbers: NaN equals NaN, and 0 is not -0.</summary>
    public static long[] Bits(Reading reading) =>
        [.. Enum.GetValues<Signal>().Select(signal => BitConverter.DoubleToInt64Bits(reading[signal]))];
}
