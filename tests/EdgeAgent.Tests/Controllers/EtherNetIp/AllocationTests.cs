using System.Diagnostics;
using System.Net;
using System.Net.Sockets;
using System.Reflection;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Controllers.EtherNetIp;

namespace Dancerwatch.EdgeAgent.Tests.Controllers.EtherNetIp;

/// <summary>Alone on the machine: what is measured is allocated by the whole process.</summary>
[CollectionDefinition(nameof(Undisturbed), DisableParallelization = true)]
public sealed class Undisturbed;

[Collection(nameof(Undisturbed))]
public sealed class AllocationTests
{
    private const int Polls = 2000;

    // One object on each poll would take 24 bytes at the least; what the test runner itself does meanwhile is far less.
    private const int LeastOfOneObjectEach = 24 * Polls;

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task A_poll_in_steady_state_allocates_nothing(bool connected)
    {
        Assert.SkipWhen(
            typeof(EtherNetIpTagReader).Assembly.GetCustomAttribute<DebuggableAttribute>()
                is { IsJITOptimizerDisabled: true },
            "In a debug build the compiler makes each asynchronous call an object. Run with --configuration Release."
        );
        await using FakeController opener = new() { GrantsLarge = connected, GrantsSmall = connected };
        TagRequest[] tags = [.. Enumerable.Range(0, 8).Select(i => new TagRequest($"Tag{i}", TagType.Real))];
        foreach (TagRequest tag in tags)
            opener.Serve(tag.Name, "CA00 00004842");
        // Between the two: once the connection stands, answers are repeated with the new number, without allocating.
        using Repeater repeater = new(opener.Port);
        await using EtherNetIpTagReader reader = Readers.To(repeater.Port, tags, timeoutMilliseconds: 10_000);
        TagSnapshot snapshot = new(tags.Length);
        for (int i = 0; i < Polls; i++)
            await reader.ReadAsync(snapshot, CancellationToken.None);

        long before = GC.GetTotalAllocatedBytes(precise: true);
        for (int i = 0; i < Polls; i++)
            await reader.ReadAsync(snapshot, CancellationToken.None);
        long allocated = GC.GetTotalAllocatedBytes(precise: true) - before;

        Assert.All(snapshot.Statuses, status => Assert.Equal(TagStatus.Good, status));
        Assert.True(repeater.Repeated >= 2 * Polls - 2, $"only {repeater.Repeated} answers were repeated");
        Assert.InRange(allocated, 0, LeastOfOneObjectEach / 2);
    }

    /// <summary>
    /// Passes frames on to a controller and its answers back, on a thread of its own; answers requests for data that
    /// follow on one it has seen answered with the same answer, renumbered.
    /// </summary>
    private sealed class Repeater : IDisposable
    {
        private const int HeaderLength = 24;
        private const int ContextOffset = 12;
        private const int SequenceOffset = 44;

        private readonly TcpListener _listener = new(IPAddress.Loopback, 0);
        private readonly Socket _controller = new(SocketType.Stream, ProtocolType.Tcp) { NoDelay = true };
        private readonly Thread _thread;

        public Repeater(int port)
        {
            _controller.Connect(IPAddress.Loopback, port);
            _listener.Start();
            Port = ((IPEndPoint)_listener.LocalEndpoint).Port;
            _thread = new Thread(Serve) { IsBackground = true };
            _thread.Start();
        }

        public int Port { get; }
        public int Repeated { get; private set; }

        public void Dispose()
        {
            _thread.Join(Readers.Patience);
            _listener.Dispose();
            _controller.Dispose();
        }

        private void Serve()
        {
            byte[] request = new byte[4096];
            byte[] answer = new byte[4096];
            int answerLength = 0;
            bool repeats = false;
            using Socket reader = _listener.AcceptSocket();
            reader.NoDelay = true;
            while (TryReceive(reader, request, out int length))
            {
                bool isRead = request[0] == 0x70 || (request[0] == 0x6F && request[40] == 0x0A);
                if (isRead && repeats)
                {
                    request.AsSpan(ContextOffset, 8).CopyTo(answer.AsSpan(ContextOffset));
                    if (request[0] == 0x70)
                        request.AsSpan(SequenceOffset, 2).CopyTo(answer.AsSpan(SequenceOffset));
                    Repeated++;
                }
                else
                {
                    _controller.Send(request, length, SocketFlags.None);
                    if (request[0] == 0x66)
                        return;
                    TryReceive(_controller, answer, out answerLength);
                    repeats = isRead;
                }
                reader.Send(answer, answerLength, SocketFlags.None);
            }
        }

        private static bool TryReceive(Socket from, byte[] frame, out int length)
        {
            length = HeaderLength;
            for (int at = 0; at < length; )
            {
                int received = from.Receive(frame, at, length - at, SocketFlags.None);
                if (received == 0)
                    return false;
                at += received;
                if (at == HeaderLength)
                    length += frame[2] | (frame[3] << 8);
            }
            return true;
        }
    }
}
