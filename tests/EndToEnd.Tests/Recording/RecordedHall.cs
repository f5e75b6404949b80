using System.Globalization;
using System.Net;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Recording;
using Dancerwatch.Signals.Readings;
using Dancerwatch.VirtualMachine.Hall;

namespace Dancerwatch.EndToEnd.Tests.Recording;

/// <summary>The virtual tea-packing hall, a configuration that watches and records it, and the recordings.</summary>
internal sealed class RecordedHall : IAsyncDisposable
{
    private readonly DirectoryInfo _directory = Directory.CreateTempSubdirectory("dancerwatch-recorded-");
    private readonly PackingHall _hall = new(TeaHall.Machines, TimeProvider.System);
    private readonly CancellationTokenSource _end = new();
    private readonly Task _running;

    public RecordedHall()
    {
        _hall.Controller.Start(new IPEndPoint(IPAddress.Loopback, 0));
        _running = _hall.RunAsync(_end.Token);
        string text = File.ReadAllText(RepositoryFiles.PathOf("config", "tea-hall.jsonc"))
            .Replace(
                "44818",
                _hall.Controller.EndPoint.Port.ToString(CultureInfo.InvariantCulture),
                StringComparison.Ordinal
            )
            .Replace(
                "\"mqtt\": { \"host\": \"127.0.0.1\", \"port\": 1883 },",
                "\"stateDirectory\": \"state\", \"recordings\": { \"leaveFreeMegabytes\": 0 },",
                StringComparison.Ordinal
            );
        File.WriteAllText(Configuration, text);
    }

    public string Configuration => PathOf("hall.jsonc");

    public AgentSettings Settings => SettingsFile.Load(Configuration).Settings!;

    public string Recordings => PathOf("state", "recordings");

    public string Ring => Path.Combine(Recordings, Recorder.RingFolder);

    public string PathOf(params string[] parts) => Path.Combine([_directory.FullName, .. parts]);

    /// <summary>The daemon as a process of its own.</summary>
    public ToolProcess Start(params string[] more) =>
        new(
            "dotnet",
            [
                Path.Combine(AppContext.BaseDirectory, "dancerwatch.dll"),
                "run",
                "--config",
                Configuration,
                .. more,
            ]
        );

    /// <summary>A machine's readings by our own reader, with their run and their wall-clock time.</summary>
    public List<(long Run, long Microseconds, Reading Reading)> Read(string machine) =>
        Read(Recordings, machine);

    /// <inheritdoc cref="Read(string)"/>
    public static List<(long Run, long Microseconds, Reading Reading)> Read(string recordings, string machine)
    {
        List<(long, long, Reading)> readings = [];
        ReadingBatch batch = new();
        using RecordingReader reader = RecordingFolder.Open(recordings).Read(machine, Period.Ever);
        while (reader.TryRead(batch))
        {
            for (int i = 0; i < batch.Count; i++)
                readings.Add((batch.Run, batch.Microseconds[i], batch.Reading(i)));
        }
        Assert.Empty(reader.Findings);
        return readings;
    }

    public async ValueTask DisposeAsync()
    {
        await _end.CancelAsync();
        await _running;
        await _hall.Controller.StopAsync();
        _end.Dispose();
        _directory.Delete(recursive: true);
    }
}
