using System.Net.Sockets;
using System.Text;

namespace Dancerwatch.EdgeAgent.Tests.Hosting.Service;

/// <summary>Plays the service manager: a real datagram socket, as sd_notify(3) describes, in the file system or the abstract space.</summary>
internal sealed class FakeManager : IDisposable
{
    private readonly string? _directory;
    private readonly Socket _socket = new(AddressFamily.Unix, SocketType.Dgram, ProtocolType.Unspecified);
    private readonly List<string> _received = [];

    public FakeManager(bool isAbstract = false)
    {
        if (isAbstract)
        {
            string name = $"dancerwatch-test-{Guid.NewGuid():N}";
            Address = $"@{name}";
            _socket.Bind(new UnixDomainSocketEndPoint($"\0{name}"));
        }
        else
        {
            _directory = Directory.CreateTempSubdirectory("dancerwatch-notify-").FullName;
            Address = Path.Combine(_directory, "notify");
            _socket.Bind(new UnixDomainSocketEndPoint(Address));
        }
        _socket.Blocking = false;
    }

    /// <summary>What goes into NOTIFY_SOCKET.</summary>
    public string Address { get; }

    /// <summary>All datagrams so far, each as it came.</summary>
    public IReadOnlyList<string> Received
    {
        get
        {
            byte[] datagram = new byte[4096];
            lock (_received)
            {
                while (_socket.Available > 0)
                    _received.Add(Encoding.UTF8.GetString(datagram, 0, _socket.Receive(datagram)));
                return [.. _received];
            }
        }
    }

    public int Count(string line) => Received.Count(datagram => datagram.Split('\n').Contains(line));

    public Task HeardAsync(string line) =>
        Eventually.IsTrueAsync(() => Count(line) > 0, $"the service manager to hear {line}", seconds: 20);

    public void Dispose()
    {
        _socket.Dispose();
        if (_directory is not null)
            Directory.Delete(_directory, recursive: true);
    }
}
