using System.Globalization;
using System.Net.Sockets;
using System.Text;

namespace Dancerwatch.EdgeAgent.Hosting.Service;

/// <summary>
/// What is told to the service manager that started us: datagrams of <c>NAME=value</c> lines to a Unix socket, as
/// sd_notify(3) lays down. Where nobody listens, or what it says cannot be sent, nothing else happens: it never throws.
/// What is told once waits a moment for a busy manager; what is told again anyway never waits. Any thread may speak.
/// </summary>
public sealed class ServiceManager : IDisposable
{
    private const int PatienceMilliseconds = 1000;

    private readonly Socket? _once;
    private readonly Socket? _again;
    private readonly UnixDomainSocketEndPoint? _manager;
    private readonly TimeProvider _time;

    /// <param name="address">Path of the socket, or a name in the abstract space after an <c>@</c>; null: nobody listens.</param>
    /// <param name="watchdog">How often it wants to hear that we are alive, at least; null: it does not ask.</param>
    public ServiceManager(string? address, TimeSpan? watchdog, TimeProvider time)
    {
        _time = time;
        Watchdog = watchdog;
        // Other families (vsock) are for managers outside of this computer.
        if (address is not { Length: > 1 } || address[0] is not ('/' or '@'))
            return;
        _manager = new UnixDomainSocketEndPoint(address[0] == '@' ? $"\0{address[1..]}" : address);
        // READY must not be lost to a full queue; a word that comes again may be, and must not hold its loop up.
        _once = Datagrams();
        _once.SendTimeout = PatienceMilliseconds;
        _again = Datagrams();
        _again.Blocking = false;
    }

    /// <summary>As the environment says: <c>NOTIFY_SOCKET</c>, <c>WATCHDOG_USEC</c>, <c>WATCHDOG_PID</c>.</summary>
    public static ServiceManager FromEnvironment(TimeProvider time) =>
        new(
            Environment.GetEnvironmentVariable("NOTIFY_SOCKET"),
            WatchdogOf(
                Environment.GetEnvironmentVariable("WATCHDOG_USEC"),
                Environment.GetEnvironmentVariable("WATCHDOG_PID")
            ),
            time
        );

    /// <summary>Whether systemd has started this very process, and reads what it writes.</summary>
    public static bool StartedUs =>
        Environment.GetEnvironmentVariable("SYSTEMD_EXEC_PID")
        == Environment.ProcessId.ToString(CultureInfo.InvariantCulture);

    /// <summary>After so long without a word it takes us for hung; null: it does not watch.</summary>
    public TimeSpan? Watchdog { get; }

    public void Ready(string status) => Say(_once, $"READY=1\nSTATUS={status}");

    public void Alive() => Say(_again, "WATCHDOG=1");

    /// <returns>False where it was not told: its queue is full.</returns>
    public bool Status(string status) => Say(_again, $"STATUS={status}");

    /// <summary>A new configuration is being looked at; <see cref="Ready"/> ends it.</summary>
    public void Reloading() =>
        // CLOCK_MONOTONIC, which is what the system's TimeProvider counts on Linux.
        Say(
            _once,
            string.Create(
                CultureInfo.InvariantCulture,
                $"RELOADING=1\nMONOTONIC_USEC={(long)(_time.GetTimestamp() * (1e6 / _time.TimestampFrequency))}"
            )
        );

    public void Stopping() => Say(_once, "STOPPING=1\nSTATUS=Stopping");

    public void Dispose()
    {
        _once?.Dispose();
        _again?.Dispose();
    }

    /// <param name="microseconds">What WATCHDOG_USEC says.</param>
    /// <param name="process">What WATCHDOG_PID says: whom it is for; null for whoever reads it.</param>
    internal static TimeSpan? WatchdogOf(string? microseconds, string? process)
    {
        CultureInfo culture = CultureInfo.InvariantCulture;
        bool isForUs = process is null || process == Environment.ProcessId.ToString(culture);
        return
            isForUs
            && long.TryParse(microseconds, NumberStyles.None, culture, out long known)
            && known is > 0 and < long.MaxValue / TimeSpan.TicksPerMicrosecond
            ? TimeSpan.FromTicks(known * TimeSpan.TicksPerMicrosecond)
            : null;
    }

    private static Socket Datagrams() => new(AddressFamily.Unix, SocketType.Dgram, ProtocolType.Unspecified);

    private bool Say(Socket? socket, string text)
    {
        try
        {
            socket?.SendTo(Encoding.UTF8.GetBytes(text), _manager!);
            return true;
        }
        catch (Exception failure) when (failure is SocketException or ObjectDisposedException)
        {
            // It is gone, or its queue stays full: it will miss us in its own time.
            return false;
        }
    }
}
