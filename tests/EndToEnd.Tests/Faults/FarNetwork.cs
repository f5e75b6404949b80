using System.Diagnostics;
using System.Globalization;
using System.Net;
using System.Runtime.InteropServices;
using System.Text;
using Microsoft.Win32.SafeHandles;

namespace Dancerwatch.EndToEnd.Tests.Faults;

/// <summary>
/// A network of its own (a namespace of Linux) at the end of a cable that the test holds in its hands: it can pull it, lose
/// part of what goes through, or make it long. The cable is two TUN devices and a loop between them, for a kernel without
/// netem has no other. Takes root; skipped where we are not.
/// </summary>
internal sealed class FarNetwork : IAsyncDisposable
{
    private const int NetworkNamespace = 0x4000_0000; // CLONE_NEWNET
    private const ulong SetInterface = 0x4004_54CA; // TUNSETIFF
    private const short TunWithoutHeader = 0x1001; // IFF_TUN | IFF_NO_PI
    private const int LongestPacket = 2048;

    private static int s_count;

    private readonly string _name;
    private readonly string _near;
    private readonly SafeFileHandle _nearEnd;
    private readonly SafeFileHandle _farEnd;
    private volatile bool _isPulled;
    private volatile int _lossPercent;
    private volatile int _delayMilliseconds;

    private FarNetwork(int number)
    {
        string id = $"{Environment.ProcessId}{number}";
        _name = $"dancerwatch-{id}";
        _near = $"dn{id}";
        string far = $"df{id}";
        // 198.18.0.0/15 is for tests of networks (RFC 2544); four addresses of it for each of us.
        int block = (Environment.ProcessId * 4) + number;
        string prefix = string.Create(
            CultureInfo.InvariantCulture,
            $"198.{18 + ((block >> 14) & 1)}.{(block >> 6) & 255}.{(block & 63) * 4}"
        );
        byte[] network = IPAddress.Parse(prefix).GetAddressBytes();
        Address = new IPAddress([network[0], network[1], network[2], (byte)(network[3] + 2)]);
        string nearAddress = new IPAddress([
            network[0],
            network[1],
            network[2],
            (byte)(network[3] + 1),
        ]).ToString();
        _nearEnd = Tun(_near);
        _farEnd = Tun(far);
        Ip("netns", "add", _name);
        Ip("link", "set", far, "netns", _name);
        Ip("addr", "add", $"{nearAddress}/30", "dev", _near);
        Ip("link", "set", _near, "up");
        Ip("-n", _name, "addr", "add", $"{Address}/30", "dev", far);
        Ip("-n", _name, "link", "set", far, "up");
        Carry(_nearEnd, _farEnd);
        Carry(_farEnd, _nearEnd);
    }

    /// <summary>Address of the far end.</summary>
    public IPAddress Address { get; }

    /// <summary>Packets that went through so far.</summary>
    public long Carried => Interlocked.Read(ref _carried);

    /// <summary>Packets that got lost so far.</summary>
    public long Lost => Interlocked.Read(ref _lost);

    private long _carried;
    private long _lost;

    /// <summary>Whether the cable is out.</summary>
    public bool IsPulled
    {
        set => _isPulled = value;
    }

    /// <summary>Share of packets that get lost, each way.</summary>
    public int LossPercent
    {
        set => _lossPercent = value;
    }

    /// <summary>Time from one end to the other, each way, ms.</summary>
    public int DelayMilliseconds
    {
        set => _delayMilliseconds = value;
    }

    public static FarNetwork Lay()
    {
        Assert.SkipWhen(
            !OperatingSystem.IsLinux() || Environment.UserName != "root" || !File.Exists("/dev/net/tun"),
            "A network namespace with a cable of its own takes root and /dev/net/tun."
        );
        Assert.SkipWhen(!TryIp("netns", "list"), "ip is not installed (Debian: apt-get install iproute2).");
        try
        {
            return new FarNetwork(Interlocked.Increment(ref s_count));
        }
        catch (UnauthorizedAccessException e)
        {
            Assert.Skip($"This root may not make network devices: {e.Message}");
            throw;
        }
    }

    /// <summary>Does something at the far end: sockets made there belong there.</summary>
    public void Inside(Action what)
    {
        Exception? failure = null;
        // A thread of its own, which ends there: a thread of the pool would go on in the wrong network.
        Thread thread = new(() =>
        {
            try
            {
                using SafeFileHandle space = File.OpenHandle($"/run/netns/{_name}");
                Check(SetNamespace((int)space.DangerousGetHandle(), NetworkNamespace), "setns");
                what();
            }
#pragma warning disable CA1031 // It is thrown where it belongs, below.
            catch (Exception e)
#pragma warning restore CA1031
            {
                failure = e;
            }
        });
        thread.Start();
        thread.Join();
        if (failure is not null)
            throw new InvalidOperationException("In the far network: " + failure.Message, failure);
    }

    public ValueTask DisposeAsync()
    {
        // Without its device a read that waits ends, and with it the thread.
        Ip("link", "del", _near);
        Ip("-n", _name, "link", "del", _near.Replace("dn", "df", StringComparison.Ordinal));
        Ip("netns", "del", _name);
        _nearEnd.Dispose();
        _farEnd.Dispose();
        return ValueTask.CompletedTask;
    }

    private void Carry(SafeFileHandle from, SafeFileHandle to) =>
        new Thread(() =>
        {
            byte[] packet = new byte[LongestPacket];
            // Until the cable is taken away.
            while (Read((int)from.DangerousGetHandle(), packet, LongestPacket) is > 0 and nint length)
                Pass(packet.AsSpan(0, (int)length).ToArray(), to);
        })
        {
            IsBackground = true,
        }.Start();

    private void Pass(byte[] packet, SafeFileHandle to)
    {
        if (_isPulled || Random.Shared.Next(100) < _lossPercent)
            Interlocked.Increment(ref _lost);
        else if (_delayMilliseconds > 0)
            _ = Task.Delay(_delayMilliseconds).ContinueWith(_ => Deliver(packet, to), TaskScheduler.Default);
        else
            Deliver(packet, to);
    }

    private void Deliver(byte[] packet, SafeFileHandle to)
    {
        // One that was under way when the cable was pulled is gone, too; and one that comes while a device goes away.
        if (!_isPulled && !to.IsClosed && Write((int)to.DangerousGetHandle(), packet, packet.Length) > 0)
            Interlocked.Increment(ref _carried);
    }

    private static SafeFileHandle Tun(string name)
    {
        SafeFileHandle handle = File.OpenHandle(
            "/dev/net/tun",
            FileMode.Open,
            FileAccess.ReadWrite,
            FileShare.ReadWrite
        );
        byte[] request = new byte[40];
        Encoding.ASCII.GetBytes(name, request);
        BitConverter.TryWriteBytes(request.AsSpan(16), TunWithoutHeader);
        Check(Control((int)handle.DangerousGetHandle(), SetInterface, request), "TUNSETIFF");
        return handle;
    }

    private static void Check(int result, string what)
    {
        if (result < 0)
            throw new UnauthorizedAccessException($"{what}: {Marshal.GetLastPInvokeErrorMessage()}");
    }

    private static void Ip(params string[] arguments) =>
        Assert.True(TryIp(arguments), $"ip {string.Join(' ', arguments)}");

    private static bool TryIp(params string[] arguments)
    {
        try
        {
            using Process ip = Process.Start(
                new ProcessStartInfo("ip", arguments) { RedirectStandardOutput = true }
            )!;
            ip.WaitForExit();
            return ip.ExitCode == 0;
        }
        catch (System.ComponentModel.Win32Exception)
        {
            return false;
        }
    }

    [DllImport("libc", EntryPoint = "setns", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int SetNamespace(int file, int kind);

    [DllImport("libc", EntryPoint = "ioctl", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern int Control(int file, ulong request, byte[] argument);

    [DllImport("libc", EntryPoint = "read", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern nint Read(int file, [Out] byte[] into, nint length);

    [DllImport("libc", EntryPoint = "write", SetLastError = true)]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static extern nint Write(int file, byte[] from, nint length);
}
