using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Controllers;

/// <summary>Takes each reading of one machine: a recording.</summary>
public interface IReadingSink
{
    /// <summary>Called on the poll loop, failed readings included. Never waits, never throws, and allocates nothing.</summary>
    void Take(in Reading reading);
}
