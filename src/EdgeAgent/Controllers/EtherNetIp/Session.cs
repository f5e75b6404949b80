using System.Net.Sockets;
using System.Runtime.CompilerServices;
using Dancerwatch.EdgeAgent.Waiting;

namespace Dancerwatch.EdgeAgent.Controllers.EtherNetIp;

/// <summary>Where a controller is, and how to talk to it.</summary>
/// <param name="Route">Padded port segments; empty for none.</param>
/// <param name="Timeout">How long a whole poll, or one attempt to connect, may take.</param>
/// <param name="PollPeriod">How often requests are sent.</param>
internal sealed record SessionSettings(
    string Host,
    int Port,
    byte[] Route,
    TimeSpan Timeout,
    TimeSpan PollPeriod
);

/// <summary>
/// One TCP connection with one session on it and, where the controller grants one, a connection: large, else small,
/// else unconnected. One request under way at a time. Once anything has thrown, it is of no use but to be disposed of.
/// </summary>
internal sealed class Session : IDisposable
{
    // Answers to requests given up earlier; more than these is no controller talking to us.
    private const int MostStrangers = 16;
    private static readonly TimeSpan s_shortestPacketInterval = TimeSpan.FromSeconds(1);

    private readonly FrameStream _stream;
    private readonly uint _handle;
    private readonly Carrier _unconnected;
    private Carrier _carrier;
    private ForwardOpen? _opened;
    private ushort _number;

    private Session(FrameStream stream, uint handle)
    {
        _stream = stream;
        _handle = handle;
        _unconnected = _carrier = new UnconnectedCarrier(handle, [], TimeSpan.Zero);
    }

    /// <summary>How messages travel.</summary>
    public Carrier Carrier => _carrier;

    /// <summary>Why the controller last refused a connection; null where it granted the first one asked for.</summary>
    public string? ConnectionRefusal { get; private set; }

    /// <param name="first">The way to try first; those after it where it is refused.</param>
    /// <exception cref="LinkException">The controller is not there or does not answer as it must.</exception>
    /// <exception cref="UnansweredException">It does not answer a request for a connection.</exception>
    /// <exception cref="OperationCanceledException"><paramref name="cancellation"/> was cancelled.</exception>
    public static async Task<Session> OpenAsync(
        SessionSettings settings,
        Way first,
        CancellationToken cancellation
    )
    {
        FrameStream stream = new(await TcpLine.ConnectAsync(settings.Host, settings.Port, cancellation));
        try
        {
            Session session = new(stream, await RegisterAsync(stream, cancellation));
            await session.OpenConnectionAsync(settings, first, cancellation);
            return session;
        }
        catch
        {
            stream.Dispose();
            throw;
        }
    }

    /// <summary>Sends a request prepared by <see cref="Carrier"/>.</summary>
    /// <returns>The reply message, valid until the next exchange.</returns>
    /// <exception cref="LinkException">The controller closed, or answered what is no answer.</exception>
    /// <exception cref="SocketException">The network failed.</exception>
    public ValueTask<ReadOnlyMemory<byte>> ExchangeAsync(
        PreparedRequest request,
        CancellationToken cancellation
    ) => ExchangeAsync(_carrier, request, cancellation);

    /// <summary>Takes leave of the controller, so that it need not wait for the connection to time out.</summary>
    public async Task CloseAsync(CancellationToken cancellation)
    {
        if (_opened is not null)
            await ExchangeAsync(_unconnected, _unconnected.Prepare(_opened.CloseMessage()), cancellation);
        await _stream.SendAsync(
            Encapsulation.Build(EncapsulationCommand.UnregisterSession, _handle, []),
            cancellation
        );
    }

    public void Dispose() => _stream.Dispose();

    private static async Task<uint> RegisterAsync(FrameStream stream, CancellationToken cancellation)
    {
        // Protocol version 1, no options.
        byte[] body = [1, 0, 0, 0];
        await stream.SendAsync(
            Encapsulation.Build(EncapsulationCommand.RegisterSession, session: 0, body),
            cancellation
        );
        Frame answer = await stream.ReceiveAsync(EncapsulationCommand.RegisterSession, cancellation);
        if (answer.Status != 0)
        {
            throw new LinkException(
                TagStatus.ControllerError,
                $"did not open a session: {Encapsulation.Describe(answer.Status)}. Check whether it has sessions left"
            );
        }
        return answer.Session;
    }

    private async Task OpenConnectionAsync(
        SessionSettings settings,
        Way first,
        CancellationToken cancellation
    )
    {
        TimeSpan interval =
            settings.PollPeriod > s_shortestPacketInterval ? settings.PollPeriod : s_shortestPacketInterval;
        // Not secrets: only unlikely to be another client's, or ours from before a restart.
        ForwardOpen open = new(
            settings.Route,
            originator: (uint)Random.Shared.Next(1, int.MaxValue),
            serial: (ushort)Random.Shared.Next(1, ushort.MaxValue),
            interval
        );
        for (Way way = first; way < Way.Unconnected; way++)
        {
            if (await TryOpenAsync(open, way, settings.Timeout, cancellation))
                return;
        }
        _carrier = new UnconnectedCarrier(_handle, settings.Route, settings.Timeout);
    }

    private async Task<bool> TryOpenAsync(
        ForwardOpen open,
        Way way,
        TimeSpan timeout,
        CancellationToken cancellation
    )
    {
        bool large = way == Way.LargeConnection;
        PreparedRequest request = _unconnected.Prepare(open.OpenMessage(large));
        ReadOnlyMemory<byte> answer;
        try
        {
            answer = await ExchangeAsync(_unconnected, request, cancellation);
        }
        catch (OperationCanceledException)
        {
            throw new UnansweredException(way, timeout);
        }
        byte service = large ? CipService.LargeForwardOpen : CipService.ForwardOpen;
        if (!CipReply.TryParse(answer.Span, out CipReply reply) || reply.Service != service)
            throw LinkException.Garbled("no answer to the request for a connection");
        if (reply.Status != CipStatus.Success)
        {
            ConnectionRefusal = reply.Describe();
            return false;
        }
        OpenConnection connection =
            open.Accept(reply.Data, large)
            ?? throw LinkException.Garbled("the connection it opened is not the one asked for");
        _carrier = new ConnectedCarrier(_handle, connection);
        _opened = open;
        return true;
    }

    [AsyncMethodBuilder(typeof(ReusingMethodBuilder<>))]
    private async ValueTask<ReadOnlyMemory<byte>> ExchangeAsync(
        Carrier carrier,
        PreparedRequest request,
        CancellationToken cancellation
    )
    {
        ushort number = ++_number;
        carrier.Stamp(request, number);
        await _stream.SendAsync(request.Bytes, cancellation);
        int strangers = 0;
        while (strangers <= MostStrangers)
        {
            Frame answer = await NextAsync(carrier.Command, strangers, cancellation);
            if (answer.Session != _handle)
                throw LinkException.Garbled("an answer to another session");
            if (answer.Status != 0)
            {
                throw new LinkException(
                    TagStatus.ControllerError,
                    $"refused a request: {Encapsulation.Describe(answer.Status)}; the connection was closed and is opened again. If it goes on, check whether the controller restarts or has sessions left"
                );
            }
            if (carrier.TryUnwrap(answer, number, out ReadOnlyMemory<byte> reply))
                return reply;
            strangers++;
        }
        throw Estranged(strangers);
    }

    [AsyncMethodBuilder(typeof(ReusingMethodBuilder<>))]
    private async ValueTask<Frame> NextAsync(
        EncapsulationCommand command,
        int strangers,
        CancellationToken cancellation
    )
    {
        try
        {
            return await _stream.ReceiveAsync(command, cancellation);
        }
        catch (OperationCanceledException) when (strangers > 0)
        {
            throw Estranged(strangers);
        }
    }

    private static LinkException Estranged(int strangers) =>
        LinkException.Garbled(
            $"{(strangers == 1 ? "an answer" : $"{strangers} answers")} with another connection id or sequence number than the request's"
        );
}
