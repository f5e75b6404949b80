namespace Dancerwatch.EdgeAgent.Polling;

/// <summary>What a poll brought.</summary>
public enum PollOutcome
{
    /// <summary>Every tag was read.</summary>
    Complete,

    /// <summary>Some tags were read, some not.</summary>
    Partial,

    /// <summary>No tag was read.</summary>
    Failed,
}

/// <summary>
/// Told how polling goes, for meters. Called from the poll loops of several controllers at once; must be quick, must
/// not throw, and should not allocate.
/// </summary>
public interface IPollObserver
{
    /// <summary>A controller is polled from now on.</summary>
    void PollingBegins(string controller);

    /// <param name="controller">Name of the controller.</param>
    /// <param name="outcome">What it brought.</param>
    void PollCompleted(string controller, in PollTimes times, PollOutcome outcome);

    /// <summary><paramref name="count"/> deadlines passed while an earlier poll was still under way.</summary>
    void PollsMissed(string controller, long count);

    /// <summary><paramref name="count"/> tags were not read in one poll.</summary>
    void ReadErrors(string controller, int count);

    /// <summary>A sink threw. The others and the next polls go on.</summary>
    void SinkFailed(string controller);
}
