using System.Net;
using System.Net.Sockets;
using Dancerwatch.VirtualMachine.EtherNetIp.Cip;
using Dancerwatch.VirtualMachine.EtherNetIp.Encapsulation;
using Dancerwatch.VirtualMachine.Tags;

namespace Dancerwatch.VirtualMachine.EtherNetIp;

/// <summary>
/// Serves a <see cref="TagTable"/> over EtherNet/IP on TCP, to several clients at once, as a Logix-class controller does.
/// Everything that would change something is refused with "service not supported". One bad client never takes another with it.
/// </summary>
public sealed class ControllerServer : IAsyncDisposable
{
    /// <summary>Pause after a failed accept, so that a lasting failure does not eat a core.</summary>
    private static readonly TimeSpan s_breath = TimeSpan.FromMilliseconds(10);

    private readonly ControllerServerOptions _options;
    private readonly TimeProvider _time;
    private readonly ConnectionManager _connections;
    private readonly MessageRouter _router;
    private readonly Lock _gate = new();
    private readonly HashSet<Task> _clients = [];
    private Socket? _listener;
    private CancellationTokenSource? _stop;
    private Task _accepting = Task.CompletedTask;
    private uint _lastSession;
    private volatile Misbehaviour? _misbehaviour;

    /// <exception cref="ArgumentOutOfRangeException">An option lies outside of its range.</exception>
    public ControllerServer(TagTable table, ControllerServerOptions options, TimeProvider time)
    {
        ArgumentNullException.ThrowIfNull(table);
        ArgumentNullException.ThrowIfNull(options);
        ArgumentNullException.ThrowIfNull(time);
        options.Check();
        (_options, _time) = (options, time);
        _connections = new(options, time);
        _router = new(table, options, _connections, Counters);
    }

    /// <summary>What was asked since the server was made; stopping and starting again does not reset it.</summary>
    public ControllerCounters Counters { get; } = new();

    /// <summary>Open CIP connections of all clients.</summary>
    public int OpenConnections => _connections.Count;

    /// <summary>Where it listens, with the port that was found for port 0. After a stop: where it last did.</summary>
    /// <exception cref="InvalidOperationException">It was never started.</exception>
    public IPEndPoint EndPoint
    {
        get =>
            field
            ?? throw new InvalidOperationException("The controller was not started yet: call Start first.");
        private set;
    }

    /// <summary>How it misbehaves towards every client from now on; null: not at all.</summary>
    public Misbehaviour? Misbehaviour
    {
        get => _misbehaviour;
        set => _misbehaviour = value;
    }

    /// <summary>Begins to listen. May be called again after <see cref="StopAsync"/>, on the same port too.</summary>
    /// <exception cref="InvalidOperationException">It is already started.</exception>
    /// <exception cref="SocketException">The address is not this machine's, or the port is taken.</exception>
    public void Start(IPEndPoint endPoint)
    {
        ArgumentNullException.ThrowIfNull(endPoint);
        if (_listener is not null)
            throw new InvalidOperationException(
                $"The controller already listens on {EndPoint}: stop it first."
            );
        Socket listener = new(endPoint.AddressFamily, SocketType.Stream, ProtocolType.Tcp);
        try
        {
            listener.Bind(endPoint);
            listener.Listen();
        }
        catch
        {
            listener.Dispose();
            throw;
        }
        EndPoint = (IPEndPoint)listener.LocalEndPoint!;
        _listener = listener;
        _stop = new();
        _accepting = AcceptAsync(listener, _stop.Token);
    }

    /// <summary>Stops listening and hangs up on every client, as a controller does that loses power.</summary>
    public async Task StopAsync()
    {
        if (_listener is null)
            return;
        await _stop!.CancelAsync();
        await _accepting;
        _listener.Dispose();
        _listener = null;
        Task[] clients;
        lock (_gate)
        {
            clients = [.. _clients];
            _clients.Clear();
        }
        await Task.WhenAll(clients);
        _stop.Dispose();
    }

    public async ValueTask DisposeAsync() => await StopAsync();

    private async Task AcceptAsync(Socket listener, CancellationToken stop)
    {
        while (!stop.IsCancellationRequested)
        {
            try
            {
                Socket client = await listener.AcceptAsync(stop);
                if (Counters.Clients >= _options.MaxClients)
                    client.Dispose();
                else
                    Begin(client, stop);
            }
            catch (OperationCanceledException) when (stop.IsCancellationRequested)
            {
                return;
            }
            catch (SocketException)
            {
                // A client that left before it was let in, or no handle left for it: the next one may stay.
                await Task.Delay(s_breath, _time, stop)
                    .ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
            }
        }
    }

    private void Begin(Socket client, CancellationToken stop)
    {
        Counters.ClientCame();
        Task task = ServeAsync(client, ++_lastSession, stop);
        lock (_gate)
        {
            _clients.RemoveWhere(done => done.IsCompletedSuccessfully);
            _clients.Add(task);
        }
    }

    private async Task ServeAsync(Socket socket, uint handle, CancellationToken stop)
    {
        EncapsulationSession session = new(
            handle,
            (IPEndPoint)socket.LocalEndPoint!,
            _router,
            _connections,
            Counters,
            _options
        );
        using CancellationTokenSource end = new(Timeout.InfiniteTimeSpan, _time);
        using CancellationTokenRegistration stopping = stop.UnsafeRegister(
            static end => ((CancellationTokenSource)end!).Cancel(),
            end
        );
        try
        {
            socket.NoDelay = true;
            IPEndPoint client = (IPEndPoint)socket.RemoteEndPoint!;
            await using NetworkStream stream = new(socket, ownsSocket: true);
            await ConverseAsync(session, client, stream, end);
        }
        catch (Exception error) when (error is IOException or SocketException or OperationCanceledException)
        {
            // The client, its silence or our stop ended it: nothing is left to say to it.
        }
        finally
        {
            _connections.CloseAllOf(session);
            Counters.ClientLeft();
        }
    }

    private async Task ConverseAsync(
        EncapsulationSession session,
        IPEndPoint client,
        NetworkStream stream,
        CancellationTokenSource end
    )
    {
        FrameReader frames = new(stream);
        for (int replies = 0; !session.IsOver; )
        {
            end.CancelAfter(_options.ClientTimeout);
            ReadOnlyMemory<byte> frame = await frames.ReadAsync(end.Token);
            if (frame.IsEmpty)
                return;
            // As it is when the request comes: who sees it counted may change it for the next.
            Misbehaviour? now = Misbehaviour;
            ReadOnlyMemory<byte> reply = session.Answer(frame.Span);
            if (reply.IsEmpty)
                continue;
            if (EncapsulationHeader.Read(frame.Span).Command == EncapsulationCommand.SendUnitData)
                _options.Polled(client);
            if (now is not { } misbehaviour)
                await stream.WriteAsync(reply, end.Token);
            else if (!await misbehaviour.SendAsync(new(reply, stream, replies, _time), end.Token))
                return;
            replies++;
        }
    }
}
