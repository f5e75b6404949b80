using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Watching;

namespace Dancerwatch.EdgeAgent.Hosting;

/// <summary>A machine that is watched, and what it was configured with.</summary>
internal sealed record WatchedMachine(WatchedMachineSettings Settings, MachineWatch Watch);
