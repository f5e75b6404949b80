using System.Buffers.Binary;
using System.Net.Sockets;
using System.Runtime.InteropServices;
using Microsoft.Win32.SafeHandles;

namespace Dancerwatch.EdgeAgent.Waiting;

/// <summary>
/// What the Linux kernel has for waiting on many sockets and one instant at once: epoll and a timer that counts
/// nanoseconds. Handles are bound edge-triggered: each is told of when something new has come, and once.
/// </summary>
internal sealed partial class LinuxQueue : IDisposable
{
    /// <summary>What <see cref="Wait"/> returns when the alarm has rung; sockets are bound to other numbers.</summary>
    public const int Alarm = -1;

    /// <summary>What <see cref="Wait"/> returns when nothing has happened.</summary>
    public const int Nothing = -2;

    private const int CloseOnExec = 0x80000;
    private const int NonBlocking = 0x800;
    private const int Monotonic = 1;
    private const int Absolute = 1;
    private const int Add = 1;
    private const int Delete = 2;
    private const uint Readable = 0x001;
    private const uint Writable = 0x004;
    private const uint Failed = 0x008;
    private const uint HungUp = 0x010;
    private const uint PeerIsDone = 0x2000;
    private const uint EdgeTriggered = 1u << 31;

    // struct epoll_event is packed where it was born and padded everywhere else: events (4), data (8).
    private static readonly int s_dataOffset =
        RuntimeInformation.ProcessArchitecture == Architecture.X64 ? 4 : 8;

    private readonly SafeFileHandle _queue;
    private readonly SafeFileHandle _timer;

    private LinuxQueue(SafeFileHandle queue, SafeFileHandle timer)
    {
        (_queue, _timer) = (queue, timer);
        Control(Add, _timer, Alarm, Readable | EdgeTriggered);
    }

    /// <returns>Null where the kernel has no such thing, or does not let us.</returns>
    public static LinuxQueue? TryOpen()
    {
        if (!OperatingSystem.IsLinux())
            return null;
        SafeFileHandle queue = new(CreateQueue(CloseOnExec), ownsHandle: true);
        SafeFileHandle timer = new(CreateTimer(Monotonic, CloseOnExec | NonBlocking), ownsHandle: true);
        if (!queue.IsInvalid && !timer.IsInvalid)
            return new LinuxQueue(queue, timer);
        queue.Dispose();
        timer.Dispose();
        return null;
    }

    /// <summary>Rings at an instant, and not at the one before. From any thread, also while another waits.</summary>
    /// <param name="nanoseconds">Of the monotonic clock.</param>
    public void RingAt(long nanoseconds)
    {
        // 0 would silence it.
        nanoseconds = Math.Max(1, nanoseconds);
        ReadOnlySpan<nint> once =
        [
            0,
            0,
            (nint)(nanoseconds / 1_000_000_000),
            (nint)(nanoseconds % 1_000_000_000),
        ];
        _ = SetTimer(_timer, Absolute, once, 0);
    }

    /// <param name="number">What <see cref="Wait"/> returns when the socket has something new; not negative.</param>
    public void Bind(SafeSocketHandle socket, int number) =>
        Control(Add, socket, number, Readable | Writable | PeerIsDone | EdgeTriggered);

    public void Release(SafeSocketHandle socket) => Control(Delete, socket, 0, 0);

    /// <summary>One thing that has happened: where the alarm or a socket is meant, its number.</summary>
    /// <param name="sleep">Whether to wait until something does.</param>
    /// <param name="isOver">Whether the socket is at its end: closed by the other side, or failed.</param>
    public int Wait(bool sleep, out bool isOver)
    {
        isOver = false;
        Span<byte> happened = stackalloc byte[16];
        if (TakeEvent(_queue, happened, 1, sleep ? -1 : 0) != 1)
            return Nothing;
        uint what = BinaryPrimitives.ReadUInt32LittleEndian(happened);
        isOver = (what & (Failed | HungUp | PeerIsDone)) != 0;
        return BinaryPrimitives.ReadInt32LittleEndian(happened[s_dataOffset..]);
    }

    public void Dispose()
    {
        _queue.Dispose();
        _timer.Dispose();
    }

    private void Control(int operation, SafeHandle handle, int number, uint events)
    {
        Span<byte> wanted = stackalloc byte[16];
        BinaryPrimitives.WriteUInt32LittleEndian(wanted, events);
        BinaryPrimitives.WriteInt32LittleEndian(wanted[s_dataOffset..], number);
        if (Control(_queue, operation, handle, wanted) != 0 && operation == Add)
            throw new SocketException((int)SocketError.TooManyOpenSockets);
    }

    [LibraryImport("libc", EntryPoint = "epoll_create1")]
    private static partial nint CreateQueue(int flags);

    [LibraryImport("libc", EntryPoint = "epoll_ctl")]
    private static partial int Control(SafeHandle queue, int operation, SafeHandle handle, Span<byte> wanted);

    [LibraryImport("libc", EntryPoint = "epoll_wait")]
    private static partial int TakeEvent(SafeHandle queue, Span<byte> events, int most, int milliseconds);

    [LibraryImport("libc", EntryPoint = "timerfd_create")]
    private static partial nint CreateTimer(int clock, int flags);

    [LibraryImport("libc", EntryPoint = "timerfd_settime")]
    private static partial int SetTimer(SafeHandle timer, int flags, ReadOnlySpan<nint> once, nint before);
}
