using Dancerwatch.Signals;

namespace Dancerwatch.EdgeAgent.Watching.Payloads.States;

/// <summary>What every retained state begins with, so that each can be judged alone.</summary>
internal static class StateShape
{
    /// <param name="name">Last level of its topic.</param>
    public static MessageShape<MachineState> Of(string name, string meaning) =>
        new MessageShape<MachineState>($"state-{name}", meaning)
            .Text("machine", "The machine", state => state.Place.Machine)
            .Moment("ts", "When the reading was taken", state => state.Milliseconds)
            .Word(
                "quality",
                "Whether all signals were read: partial where an optional one was not, bad where a required one was not and nothing else here is fresh",
                Codes.Code,
                state => state.Quality
            );
}
