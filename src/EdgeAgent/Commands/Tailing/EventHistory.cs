using Dancerwatch.EdgeAgent.Commands.Replays;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Mqtt;
using Dancerwatch.EdgeAgent.Recording;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.EdgeAgent.Watching.Payloads;

namespace Dancerwatch.EdgeAgent.Commands.Tailing;

/// <summary>
/// Warnings of the past: a broker keeps none, so recordings are replayed through the same watches. Their times are those of
/// then; their numbers in the daemon's sequence are not known and count from 1.
/// </summary>
internal static class EventHistory
{
    /// <summary>So long before, readings are looked at already: windows are full when the history begins.</summary>
    private static readonly TimeSpan s_warmUp = TimeSpan.FromMinutes(20);

    /// <param name="recordings">Directory of recordings.</param>
    /// <exception cref="IOException">It cannot be read.</exception>
    public static async Task TellAsync(
        AgentSettings settings,
        string recordings,
        DateTimeOffset since,
        TailVoice voice,
        TextWriter error,
        CancellationToken cancellation
    )
    {
        using Histories histories = new(
            recordings,
            settings.Machines,
            settings.Machines,
            new Period(since - s_warmUp, DateTimeOffset.MaxValue)
        );
        Teller teller = new(voice, since.ToUnixTimeMilliseconds());
        await Task.Run(
            () => TraceReplay.RunAsync(settings, settings.Machines, histories, teller, cancellation),
            cancellation
        );
        foreach (string finding in histories.Findings)
            await error.WriteLineAsync($"  LOOK  {finding}");
    }

    private sealed class Teller(TailVoice voice, long since) : IEventSink
    {
        private long _sequence;

        public void Raise(MachineEvent raised)
        {
            if (
                raised.Milliseconds >= since
                && ReceivedEvent.TryRead(
                    EventPayload.Of(raised, ++_sequence),
                    out ReceivedEvent? heard,
                    out _
                )
            )
                voice.Say(heard);
        }
    }
}
