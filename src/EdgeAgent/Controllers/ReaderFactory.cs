using Dancerwatch.EdgeAgent.Configuration;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Controllers;

/// <summary>Makes what reads one controller: <see cref="TagReaders.Create"/>, or what plays a recording in its place.</summary>
public delegate ITagReader ReaderFactory(
    ControllerSettings controller,
    IReadOnlyList<TagRequest> tags,
    MonotonicClock clock,
    ILoggerFactory loggers
);
