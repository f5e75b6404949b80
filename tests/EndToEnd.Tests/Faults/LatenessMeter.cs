using System.Diagnostics.Metrics;
using Dancerwatch.EdgeAgent.Telemetry;

namespace Dancerwatch.EndToEnd.Tests.Faults;

/// <summary>Listens to how late polls of some controllers start, and keeps it apart by what the test says is going on.</summary>
internal sealed class LatenessMeter : IDisposable
{
    private readonly Lock _gate = new();
    private readonly Dictionary<string, List<double>> _seconds = [];
    private readonly MeterListener _listener;
    private string? _during;

    /// <param name="controllers">Beginning of their names; no other test may use it.</param>
    public LatenessMeter(string controllers)
    {
        _listener = new MeterListener
        {
            InstrumentPublished = (instrument, listener) =>
            {
                if (
                    instrument.Meter.Name == AgentTelemetry.Name
                    && instrument.Name == "edgeagent.poll.lateness"
                )
                    listener.EnableMeasurementEvents(instrument);
            },
        };
        _listener.SetMeasurementEventCallback<double>(
            (_, seconds, tags, _) =>
            {
                if (tags[0].Value is string name && name.StartsWith(controllers, StringComparison.Ordinal))
                    Keep(seconds);
            }
        );
        _listener.Start();
    }

    /// <summary>What is going on from now on; null: nothing that counts.</summary>
    public string? During
    {
        set
        {
            lock (_gate)
                _during = value;
        }
    }

    public int Polls(string during)
    {
        lock (_gate)
            return _seconds.GetValueOrDefault(during)?.Count ?? 0;
    }

    /// <summary>Lateness that one poll of a hundred exceeds, ms.</summary>
    public double P99Milliseconds(string during)
    {
        lock (_gate)
        {
            List<double> seconds = [.. _seconds[during].Order()];
            return 1000 * seconds[(int)(0.99 * (seconds.Count - 1))];
        }
    }

    public void Dispose() => _listener.Dispose();

    private void Keep(double seconds)
    {
        lock (_gate)
        {
            if (_during is null)
                return;
            if (!_seconds.TryGetValue(_during, out List<double>? list))
                _seconds[_during] = list = [];
            list.Add(seconds);
        }
    }
}
