using System.Diagnostics;
using Dancerwatch.EdgeAgent.Mqtt;
using Dancerwatch.EdgeAgent.Polling;

namespace Dancerwatch.EdgeAgent.Telemetry;

/// <summary>
/// The ways of polls and events, each told as a trace once it has been gone. Costs next to nothing, and allocates nothing, where nobody
/// listens.
/// </summary>
internal sealed class AgentTraces(MonotonicClock clock) : IDisposable
{
    /// <summary>A poll of a controller: by itself, or as the beginning of an event's trace.</summary>
    public const string PollActivity = "poll";

    /// <summary>An event, from the poll that decided to the broker's acknowledgement. The root of its trace.</summary>
    public const string EventActivity = "event";

    /// <summary>From the poll's end until the event is sent: it is judged, and waits in the outbox.</summary>
    public const string OutboxActivity = "outbox";

    /// <summary>From the first sending to the acknowledgement.</summary>
    public const string PublishActivity = "publish";

    /// <summary>Of so many polls one is traced by itself: at 50 a second all of them would drown a collector.</summary>
    private const int PollsATrace = 500;

    private readonly RecentPolls _recentPolls = new();
    private long _pollsSeen;

    public ActivitySource Activities { get; } = new(AgentTelemetry.Name);

    public void Polled(string controller, in PollTimes times)
    {
        if (!Activities.HasListeners())
            return;
        _recentPolls.Note(controller, times);
        // Chosen here: even to ask whether anybody wants a trace allocates.
        if (Interlocked.Increment(ref _pollsSeen) % PollsATrace == 0)
            Trace(PollActivity, times.Start, times.End, default, AgentTelemetry.Which(controller));
    }

    public void Published(string id, in EventTimes times)
    {
        if (Activities.HasListeners())
            Trace(id, times);
    }

    public void Dispose() => Activities.Dispose();

    /// <summary>The whole way of an event, told when it has been gone: on the way nothing is carried along for it.</summary>
    private void Trace(string id, in EventTimes times)
    {
        (string Controller, PollTimes Times)? poll = _recentPolls.Find(times.Reading);
        long start = poll?.Times.Start ?? times.Reading;
        using Activity? whole = Begun(EventActivity, start, default);
        if (whole is null)
            return;
        whole.SetTag("event.id", id);
        if (poll is (string controller, PollTimes polled))
            Trace(PollActivity, polled.Start, polled.End, whole.Context, AgentTelemetry.Which(controller));
        Trace(OutboxActivity, poll?.Times.End ?? times.Reading, times.Offered, whole.Context);
        Trace(PublishActivity, times.Offered, times.Acknowledged, whole.Context);
        whole.SetEndTime(Utc(times.Acknowledged));
    }

    /// <summary>Traces what is over, where it is sampled.</summary>
    private void Trace(
        string name,
        long start,
        long end,
        ActivityContext parent,
        KeyValuePair<string, object?>? tag = null
    )
    {
        using Activity? activity = Begun(name, start, parent);
        if (tag is { } known)
            activity?.SetTag(known.Key, known.Value);
        activity?.SetEndTime(Utc(end));
    }

    private Activity? Begun(string name, long start, ActivityContext parent) =>
        Activities.StartActivity(name, KindOf(name), parent, startTime: clock.ToWallClock(start));

    private static ActivityKind KindOf(string name) =>
        name switch
        {
            PollActivity => ActivityKind.Client,
            PublishActivity => ActivityKind.Producer,
            _ => ActivityKind.Internal,
        };

    private DateTime Utc(long ticks) => clock.ToWallClock(ticks).UtcDateTime;
}
