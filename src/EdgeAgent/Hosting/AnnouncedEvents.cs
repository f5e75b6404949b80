using Dancerwatch.EdgeAgent.Recording;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Warnings;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Hosting;

/// <summary>Hands each event on, has the readings around it kept, and writes it to the log, which tells the story where the broker cannot.</summary>
internal sealed class AnnouncedEvents(IReadOnlyList<Outlet> outlets, Recorder? recorder, ILogger logger)
    : IEventSink
{
    public void Raise(MachineEvent raised)
    {
        // On its way first: the log may be slow.
        foreach (Outlet outlet in outlets)
            outlet.Outbox.Raise(raised);
        ConditionTransition transition = raised.Transition;
        string condition = transition.Condition.Code();
        if (transition.State == ConditionState.Raised)
            recorder?.Mark(raised.Place.Machine, transition.Ticks, $"{condition} raised");
        if (transition.State == ConditionState.Cleared)
        {
            logger.ConditionCleared(raised.Place.Machine, condition);
            return;
        }
        string state = transition.State.Code();
        string side = transition.Side.Code() ?? "neither";
        string cause = transition.Causes.First.Cause.Code();
        logger.ConditionRaised(raised.Place.Machine, condition, state, side, cause, transition.Evidence);
    }
}
