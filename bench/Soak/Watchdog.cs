using System.Net.Sockets;
using System.Text;

namespace Dancerwatch.Soak;

/// <summary>
/// Plays the service manager's watchdog: listens on the socket of sd_notify(3), and measures the longest time it heard
/// nothing.
/// </summary>
internal sealed class Watchdog : IDisposable
{
    /// <summary>As in the unit, s.</summary>
    public const int AllowedSeconds = 30;

    private readonly DirectoryInfo _directory = Directory.CreateTempSubdirectory("dancerwatch-soak-");
    private readonly Socket _socket = new(AddressFamily.Unix, SocketType.Dgram, ProtocolType.Unspecified);
    private readonly TimeProvider _time = TimeProvider.System;
    private readonly Lock _gate = new();
    private long _last;
    private TimeSpan _longest;

    public Watchdog()
    {
        Address = Path.Combine(_directory.FullName, "notify");
        _socket.Bind(new UnixDomainSocketEndPoint(Address));
        _last = _time.GetTimestamp();
        new Thread(Listen) { IsBackground = true }.Start();
    }

    public string Address { get; }

    /// <summary>Signs of life so far.</summary>
    public int Heard { get; private set; }

    /// <summary>The longest time without one, the present one included, s.</summary>
    public double LongestSeconds
    {
        get
        {
            lock (_gate)
            {
                TimeSpan now = _time.GetElapsedTime(_last);
                return (now > _longest ? now : _longest).TotalSeconds;
            }
        }
    }

    public IEnumerable<(string, string)> Environment =>
        [("NOTIFY_SOCKET", Address), ("WATCHDOG_USEC", $"{AllowedSeconds}000000")];

    public void Dispose()
    {
        _socket.Dispose();
        _directory.Delete(recursive: true);
    }

    private void Listen()
    {
        byte[] datagram = new byte[4096];
        try
        {
            while (true)
            {
                int length = _socket.Receive(datagram);
                if (Encoding.UTF8.GetString(datagram, 0, length).Split('\n').Contains("WATCHDOG=1"))
                    Hear();
            }
        }
        catch (Exception e) when (e is SocketException or ObjectDisposedException) { }
    }

    private void Hear()
    {
        lock (_gate)
        {
            TimeSpan silence = _time.GetElapsedTime(_last);
            _longest = silence > _longest ? silence : _longest;
            _last = _time.GetTimestamp();
            Heard++;
        }
    }
}
