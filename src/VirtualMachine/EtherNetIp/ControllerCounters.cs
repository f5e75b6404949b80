using Dancerwatch.VirtualMachine.EtherNetIp.Cip;

namespace Dancerwatch.VirtualMachine.EtherNetIp;

/// <summary>What the controller was asked, since it was made. Read from any thread.</summary>
public sealed class ControllerCounters
{
    private readonly long[] _requests = new long[CipService.ReplyBit];
    private long _refusedWrites;
    private long _malformed;
    private long _unconnectedSends;
    private long _clients;
    private long _clientsEver;

    /// <summary>
    /// Requests by CIP service code, those inside packets and Unconnected Sends included; an Unconnected Send itself is
    /// counted by <see cref="UnconnectedSends"/>. Only services asked for are listed.
    /// </summary>
    public IReadOnlyDictionary<byte, long> Requests =>
        Enumerable
            .Range(0, _requests.Length)
            .Where(service => Interlocked.Read(ref _requests[service]) > 0)
            .ToDictionary(service => (byte)service, service => Interlocked.Read(ref _requests[service]));

    public long UnconnectedSends => Interlocked.Read(ref _unconnectedSends);

    /// <summary>Requests that would have changed something. Each was answered with "service not supported".</summary>
    public long RefusedWrites => Interlocked.Read(ref _refusedWrites);

    /// <summary>Frames and requests that could not be taken apart.</summary>
    public long Malformed => Interlocked.Read(ref _malformed);

    /// <summary>TCP clients there are now.</summary>
    public long Clients => Interlocked.Read(ref _clients);

    /// <summary>TCP clients there ever were.</summary>
    public long ClientsEver => Interlocked.Read(ref _clientsEver);

    /// <summary>Requests with this CIP service code.</summary>
    public long RequestsOf(byte service) => Interlocked.Read(ref _requests[service & ~CipService.ReplyBit]);

    internal void Count(byte service) => Interlocked.Increment(ref _requests[service & ~CipService.ReplyBit]);

    internal void CountUnconnectedSend() => Interlocked.Increment(ref _unconnectedSends);

    internal void CountRefusedWrite() => Interlocked.Increment(ref _refusedWrites);

    internal void CountMalformed() => Interlocked.Increment(ref _malformed);

    internal void ClientCame()
    {
        Interlocked.Increment(ref _clients);
        Interlocked.Increment(ref _clientsEver);
    }

    internal void ClientLeft() => Interlocked.Decrement(ref _clients);
}
