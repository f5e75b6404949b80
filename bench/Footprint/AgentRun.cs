using System.Diagnostics;
using System.Globalization;
using Dancerwatch.EndToEnd.Tests.Program;

namespace Dancerwatch.Footprint;

/// <summary>The program at work: started with <c>run</c>, measured from outside, ended by SIGTERM.</summary>
internal sealed class AgentRun : IDisposable
{
    private readonly Process _process;

    /// <param name="environment">Further variables of its environment.</param>
    public AgentRun(
        string program,
        string configuration,
        params IEnumerable<(string Name, string Value)> environment
    )
    {
        ProcessStartInfo start = new(program, ["run", "--config", configuration])
        {
            RedirectStandardOutput = true,
        };
        foreach ((string name, string value) in environment)
            start.Environment[name] = value;
        Started = TimeProvider.System.GetTimestamp();
        _process = Process.Start(start)!;
        // The log is read, else a full pipe would hold the agent up.
        _process.OutputDataReceived += (_, line) =>
        {
            if (line.Data?.Contains("warn:", StringComparison.Ordinal) == true)
                Warnings++;
        };
        _process.BeginOutputReadLine();
    }

    /// <summary>Just before the process was made.</summary>
    public long Started { get; }

    public bool HasEnded => _process.HasExited;

    /// <summary>Memory in use now (RSS), bytes.</summary>
    public long Memory => Status("VmRSS:");

    /// <summary>The most there was of it.</summary>
    public long MemoryPeak => Status("VmHWM:");

    /// <summary>Warnings in its log.</summary>
    public int Warnings { get; private set; }

    /// <summary>Files, sockets and other handles that it has open.</summary>
    public int Handles => Directory.GetFiles($"/proc/{_process.Id}/fd").Length;

    public int Threads => Directory.GetDirectories($"/proc/{_process.Id}/task").Length;

    /// <summary>Sockets it listens on, TCP and UDP; a client's own UDP sockets count.</summary>
    public int ListeningSockets => ProcessSockets.Listening(_process.Id).Count;

    /// <summary>Processor time used so far.</summary>
    public TimeSpan ProcessorTime
    {
        get
        {
            _process.Refresh();
            return _process.TotalProcessorTime;
        }
    }

    public async Task StopAsync()
    {
        if (!HasEnded)
        {
            using Process kill = Process.Start("kill", ["-TERM", $"{_process.Id}"]);
            await kill.WaitForExitAsync();
        }
        await _process.WaitForExitAsync();
        if (_process.ExitCode != 0)
            throw new InvalidOperationException($"The agent ended with code {_process.ExitCode}.");
    }

    public void Dispose() => _process.Dispose();

    private long Status(string field)
    {
        string line = File.ReadLines($"/proc/{_process.Id}/status")
            .First(line => line.StartsWith(field, StringComparison.Ordinal));
        string kilobytes = line[field.Length..].Replace("kB", "", StringComparison.Ordinal);
        return 1024 * long.Parse(kilobytes, CultureInfo.InvariantCulture);
    }
}
