using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Controllers.Libplctag;
using Microsoft.Extensions.Logging.Abstractions;

namespace Dancerwatch.EdgeAgent.Tests.Controllers;

/// <summary>The drivers by their names, as a configuration has them.</summary>
internal static class Drivers
{
    public static TheoryData<string> All() => ["ethernet-ip", "libplctag"];

    /// <summary>A reader on loopback. Skips the test where the driver needs a library that is not here.</summary>
    public static ITagReader To(
        string driver,
        int port,
        IReadOnlyList<TagRequest> tags,
        int timeoutMilliseconds = 5_000,
        string route = "1,0"
    )
    {
        if (driver == "libplctag")
            Assert.SkipWhen(PlcTagLibrary.Trouble is not null, PlcTagLibrary.Trouble ?? "");
        return TagReaders.Create(
            new ControllerSettings
            {
                Name = "packing",
                Driver = driver,
                Host = "127.0.0.1",
                Port = port,
                Route = route,
                TimeoutMilliseconds = timeoutMilliseconds,
            },
            tags,
            new MonotonicClock(TimeProvider.System),
            NullLoggerFactory.Instance
        );
    }
}
