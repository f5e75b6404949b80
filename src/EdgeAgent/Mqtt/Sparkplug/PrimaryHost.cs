using System.Text.Json;

namespace Dancerwatch.EdgeAgent.Mqtt.Sparkplug;

/// <summary>
/// Whether the host application that we wait for is online, by its word on its STATE topic. A word older than one heard before
/// is of a connection the host has given up, and counts for nothing (Sparkplug 3.0.0, sections 5.4 and 5.5). Any thread.
/// </summary>
internal sealed class PrimaryHost
{
    private readonly Lock _gate = new();
    private long _latest = long.MinValue;
    private bool _isOnline;
    private bool _hasLeft;

    public bool IsOnline
    {
        get
        {
            lock (_gate)
                return _isOnline;
        }
    }

    /// <summary>Whether it went offline over this connection, be it back or not.</summary>
    public bool HasLeft
    {
        get
        {
            lock (_gate)
                return _hasLeft;
        }
    }

    /// <summary>A new connection: what was heard over the last one says nothing about this broker. The age of words is kept.</summary>
    public void Forget()
    {
        lock (_gate)
            _isOnline = _hasLeft = false;
    }

    /// <returns>False where it is no such word.</returns>
    public bool Hear(ReadOnlyMemory<byte> payload)
    {
        if (!TryRead(payload, out bool isOnline, out long timestamp))
            return false;
        lock (_gate)
        {
            if (timestamp < _latest)
                return true;
            _latest = timestamp;
            _hasLeft |= _isOnline && !isOnline;
            _isOnline = isOnline;
        }
        return true;
    }

    private static bool TryRead(ReadOnlyMemory<byte> payload, out bool isOnline, out long timestamp)
    {
        (isOnline, timestamp) = (false, 0);
        try
        {
            using JsonDocument json = JsonDocument.Parse(payload);
            isOnline = json.RootElement.GetProperty("online").GetBoolean();
            return json.RootElement.GetProperty("timestamp").TryGetInt64(out timestamp);
        }
        // Also what comes of asking JSON for a member it has not, or for another type than it has.
        catch (Exception e) when (e is JsonException or InvalidOperationException or KeyNotFoundException)
        {
            return false;
        }
    }
}
