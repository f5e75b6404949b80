using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers.EtherNetIp;
using Dancerwatch.EdgeAgent.Controllers.Libplctag;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Controllers;

/// <summary>Chooses the driver a controller is configured for. The configuration allows the same names.</summary>
public static class TagReaders
{
    /// <summary>A reader for one controller; it connects with its first read.</summary>
    /// <exception cref="ArgumentException">No driver has the configured name, or it cannot use the settings.</exception>
    public static ITagReader Create(
        ControllerSettings controller,
        IReadOnlyList<TagRequest> tags,
        MonotonicClock clock,
        ILoggerFactory loggers
    ) =>
        controller.Driver switch
        {
            "ethernet-ip" => new EtherNetIpTagReader(
                controller,
                tags,
                clock,
                loggers.CreateLogger<EtherNetIpTagReader>()
            ),
            "libplctag" => new LibplctagTagReader(
                controller,
                tags,
                clock,
                loggers.CreateLogger<LibplctagTagReader>()
            ),
            _ => throw new ArgumentException(
                $"There is no driver '{controller.Driver}'.",
                nameof(controller)
            ),
        };
}
