using System.Globalization;
using Dancerwatch.EdgeAgent.Recording;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Bench.WarningQuality.History;

/// <summary>How fast recordings are decoded to readings, on one core, by processor time: other work on the computer plays no part.</summary>
internal static class DecodingRate
{
    public static void Measure(string recordings)
    {
        RecordingFolder folder = RecordingFolder.Open(recordings);
        ReadingBatch batch = new();
        long readings = 0;
        double sum = 0;
        TimeSpan begun = Environment.CpuUsage.TotalTime;
        foreach (string machine in folder.Machines)
        {
            using RecordingReader reader = folder.Read(machine, Period.Ever);
            while (reader.TryRead(batch))
            {
                readings += batch.Count;
                for (int i = 0; i < batch.Count; i++)
                {
                    Reading reading = batch.Reading(i);
                    if (reading.Quality != Quality.Bad)
                        sum += reading[Signal.Gap];
                }
            }
        }
        double seconds = (Environment.CpuUsage.TotalTime - begun).TotalSeconds;
        Console.WriteLine(
            string.Create(
                CultureInfo.InvariantCulture,
                $"{readings} readings of {folder.Machines.Count} machines in {seconds:F1} s of one core: {readings / seconds:F0} a second (mean gap {sum / readings:F1})"
            )
        );
    }
}
