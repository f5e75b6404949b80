using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Controllers.EtherNetIp;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Logging.Abstractions;

namespace Dancerwatch.EdgeAgent.Tests.Controllers.EtherNetIp;

/// <summary>Readers on loopback, and waits that end when something has happened.</summary>
internal static class Readers
{
    public static readonly TimeSpan Patience = TimeSpan.FromSeconds(10);

    public static EtherNetIpTagReader To(
        int port,
        IReadOnlyList<TagRequest> tags,
        string route = "",
        int timeoutMilliseconds = 2000,
        TimeProvider? time = null,
        ILogger<EtherNetIpTagReader>? logger = null
    ) =>
        new(
            new ControllerSettings
            {
                Name = "packing",
                Host = "127.0.0.1",
                Port = port,
                Route = route,
                TimeoutMilliseconds = timeoutMilliseconds,
            },
            tags,
            new MonotonicClock(time ?? TimeProvider.System),
            logger ?? NullLogger<EtherNetIpTagReader>.Instance
        );

    public static async Task<TagSnapshot> ReadAsync(this ITagReader reader)
    {
        TagSnapshot snapshot = new(reader.Tags.Count);
        await reader.ReadAsync(snapshot, TestContext.Current.CancellationToken);
        return snapshot;
    }

    /// <summary>Reads until a read is as wanted.</summary>
    public static async Task<TagSnapshot> ReadUntilAsync(
        this ITagReader reader,
        Predicate<TagSnapshot> wanted
    )
    {
        using CancellationTokenSource patience = new(Patience);
        using PeriodicTimer timer = new(TimeSpan.FromMilliseconds(1));
        while (true)
        {
            TagSnapshot snapshot = await reader.ReadAsync();
            if (wanted(snapshot))
                return snapshot;
            await timer.WaitForNextTickAsync(patience.Token);
        }
    }
}
