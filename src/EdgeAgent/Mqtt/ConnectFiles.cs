using Dancerwatch.EdgeAgent.Configuration;

namespace Dancerwatch.EdgeAgent.Mqtt;

/// <summary>
/// The files a connection to the broker is made with (authority, certificate, key, password), and whether they have been
/// renewed since.
/// </summary>
internal sealed class ConnectFiles(BrokerSettings settings, TimeProvider time)
{
    /// <summary>
    /// Time between two looks. A renewal is noticed by the first look after it and believed by the second, once all of its
    /// files are in place.
    /// </summary>
    public static readonly TimeSpan LookEvery = TimeSpan.FromSeconds(10);

    private readonly string[] _files =
    [
        .. new[]
        {
            settings.PasswordFile,
            settings.Tls?.CaFile,
            settings.Tls?.ClientCertificateFile,
            settings.Tls?.ClientKeyFile,
        }.OfType<string>(),
    ];

    /// <summary>As they are now. Take it before they are read, so that a change meanwhile is noticed.</summary>
    public Stamp Now() => new([.. _files.Select(FileStamp.Of)]);

    /// <summary>
    /// Waits until there are other files than <paramref name="then"/>, and they can be used: a renewal that went wrong must
    /// not cost a connection that is well.
    /// </summary>
    /// <param name="unusable">Told once for each renewal that cannot be used; goes after the broker's name.</param>
    public async Task RenewedAsync(Stamp then, Action<string> unusable, CancellationToken cancellation)
    {
        if (_files.Length == 0)
            await Task.Delay(Timeout.InfiniteTimeSpan, time, cancellation);
        using PeriodicTimer timer = new(LookEvery, time);
        (Stamp last, Stamp done) = (then, then);
        while (await timer.WaitForNextTickAsync(cancellation))
        {
            Stamp now = Now();
            bool isSettled = now == last;
            last = now;
            if (!isSettled || now == done)
                continue;
            try
            {
                ConnectOptions.Of(settings, will: null);
                return;
            }
            catch (BrokerException trouble)
            {
                unusable(trouble.Message);
                done = now;
            }
        }
    }

    /// <summary>As each file was.</summary>
    internal readonly record struct Stamp(FileStamp[] Files)
    {
        public bool Equals(Stamp other) => Files.AsSpan().SequenceEqual(other.Files);

        public override int GetHashCode() => Files.Length;
    }
}
