using Dancerwatch.Footprint;

namespace Dancerwatch.Scale;

/// <summary>One plant of a size: started, left to settle, measured, ended.</summary>
internal static class Measurement
{
    private const double PollSeconds = 0.02;
    private const double SecondsPerDay = 86_400;
    private static readonly TimeSpan s_settle = TimeSpan.FromSeconds(5);
    private static readonly TimeSpan s_look = TimeSpan.FromMilliseconds(100);

    public static async Task<Sample> TakeAsync(string program, int machines, TimeSpan run)
    {
        TimeProvider time = TimeProvider.System;
        DirectoryInfo place = Directory.CreateTempSubdirectory("dancerwatch-scale-");
        await using VirtualPlant plant = new(machines);
        string configuration = Path.Combine(place.FullName, "plant.jsonc");
        await File.WriteAllTextAsync(configuration, PlantConfiguration.Text(plant, machines));
        using AgentRun agent = new(program, configuration);
        await ReadAllAsync(plant, agent);
        await Task.Delay(s_settle, time);
        var before = plant.Counts();
        long segments = Wire.Segments(plant.Controllers);
        TimeSpan ours = agent.ProcessorTime;
        TimeSpan theirs = plant.ProcessorTime;
        long begun = time.GetTimestamp();
        await Task.Delay(run, time);
        double seconds = time.GetElapsedTime(begun).TotalSeconds;
        double processor = (agent.ProcessorTime - ours).TotalSeconds / seconds;
        double plantProcessor = (plant.ProcessorTime - theirs).TotalSeconds / seconds;
        var after = plant.Counts();
        long packets = Wire.Segments(plant.Controllers) - segments;
        double memory = agent.Memory / 1e6;
        var atEnd = plant.Counts();
        await agent.StopAsync();
        double tags = (after.Tags - before.Tags) / seconds;
        double due = machines * PlantConfiguration.Signals / PollSeconds;
        double recorded = Recorded(Path.Combine(place.FullName, "state", "recordings", "ring"));
        double perReading = recorded / (atEnd.Tags / PlantConfiguration.Signals);
        place.Delete(recursive: true);
        return new Sample(
            machines,
            after.Connections,
            tags / due,
            packets / seconds,
            100 * processor,
            100 * plantProcessor,
            memory,
            (after.Messages - before.Messages) / seconds,
            perReading * machines / PollSeconds * SecondsPerDay / 1e9
        );
    }

    private static async Task ReadAllAsync(VirtualPlant plant, AgentRun agent)
    {
        while (
            plant.Counts() is var counts
            && (counts.Connections < plant.Controllers.Count || counts.Messages == 0)
        )
        {
            if (agent.HasEnded)
                throw new InvalidOperationException("The daemon has ended: these are no numbers.");
            await Task.Delay(s_look, TimeProvider.System);
        }
    }

    /// <summary>Bytes of recordings; at an orderly end they are Parquet. NaN where the end came before all were.</summary>
    private static double Recorded(string ring) =>
        Directory.EnumerateFiles(ring, "*.journal", SearchOption.AllDirectories).Any()
            ? double.NaN
            : Directory
                .EnumerateFiles(ring, "*.parquet", SearchOption.AllDirectories)
                .Sum(file => (double)new FileInfo(file).Length);
}
