using System.Collections.Concurrent;
using System.Diagnostics;

namespace Dancerwatch.EndToEnd.Tests;

/// <summary>A program of the system, run by a test: its output line by line, and its end.</summary>
internal sealed class ToolProcess : IAsyncDisposable
{
    private static readonly TimeSpan s_limit = TimeSpan.FromSeconds(30);
    private readonly Process _process;
    private readonly ConcurrentQueue<string> _lines = new();

    public ToolProcess(string program, params string[] arguments)
    {
        ProcessStartInfo start = new(program, arguments)
        {
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            RedirectStandardInput = true,
        };
        _process = new Process { StartInfo = start };
        _process.OutputDataReceived += Keep;
        _process.ErrorDataReceived += Keep;
        _process.Start();
        _process.BeginOutputReadLine();
        _process.BeginErrorReadLine();
    }

    /// <summary>Skips the test where a program is not installed.</summary>
    public static string Require(string program)
    {
        string[] places = [.. (Environment.GetEnvironmentVariable("PATH") ?? "").Split(':'), "/usr/sbin"];
        string? found = places.Select(place => Path.Combine(place, program)).FirstOrDefault(File.Exists);
        Assert.SkipWhen(found is null, $"{program} is not installed (on Debian .ci/run installs it)");
        return found!;
    }

    public int Id => _process.Id;

    /// <summary>Types a line.</summary>
    public async Task TypeAsync(string line)
    {
        await _process.StandardInput.WriteLineAsync(line);
        await _process.StandardInput.FlushAsync();
    }

    /// <summary>All it has said so far.</summary>
    public IReadOnlyCollection<string> Lines => _lines;

    /// <summary>The first line that fits; waits for it.</summary>
    public async Task<string> LineAsync(Func<string, bool> fits)
    {
        using CancellationTokenSource limit = new(s_limit);
        using PeriodicTimer timer = new(TimeSpan.FromMilliseconds(20));
        try
        {
            while (true)
            {
                if (_lines.FirstOrDefault(fits) is { } line)
                    return line;
                await timer.WaitForNextTickAsync(limit.Token);
            }
        }
        catch (OperationCanceledException)
        {
            throw new TimeoutException(
                $"{_process.StartInfo.FileName} did not say it in {s_limit.TotalSeconds} s; it said:\n"
                    + string.Join('\n', _lines.TakeLast(12))
            );
        }
    }

    /// <summary>All it said, once it has ended by itself.</summary>
    public async Task<IReadOnlyList<string>> LinesToEndAsync(CancellationToken cancellation)
    {
        await _process.WaitForExitAsync(cancellation);
        return [.. _lines];
    }

    /// <summary>Exit code; null while it runs.</summary>
    public int? ExitCode => _process.HasExited ? _process.ExitCode : null;

    /// <summary>Ctrl-C: lets it finish what it writes, and waits for its end.</summary>
    public Task InterruptAsync(CancellationToken cancellation) => EndAsync(cancellation, "INT");

    /// <summary>Asks it to end, as a service manager does, and waits for its end.</summary>
    public async Task EndAsync(CancellationToken cancellation, string signal = "TERM")
    {
        await SendAsync(signal);
        await _process.WaitForExitAsync(cancellation);
    }

    /// <summary>Sends a signal by its name, such as <c>HUP</c>.</summary>
    public async Task SendAsync(string signal)
    {
        using Process kill = Process.Start("kill", [$"-{signal}", $"{_process.Id}"]);
        await kill.WaitForExitAsync();
    }

    public async ValueTask DisposeAsync()
    {
        _process.Kill();
        await _process.WaitForExitAsync();
        _process.Dispose();
    }

    private void Keep(object sender, DataReceivedEventArgs received)
    {
        if (received.Data is { } line)
            _lines.Enqueue(line);
    }
}
