using Dancerwatch.EdgeAgent.Watching.Payloads.States;

namespace Dancerwatch.EdgeAgent.Watching.Payloads;

/// <summary>One retained state: the last level of its topic and its payload.</summary>
public readonly record struct StatePayload(string Name, byte[] Json);

/// <summary>The retained states of a machine, flat JSON with scalars only.</summary>
public static class StatePayloads
{
    public const string ContentType = "application/json";

    /// <summary>Each state by the last level of its topic.</summary>
    internal static IReadOnlyList<(string Name, MessageShape<MachineState> Shape)> All { get; } =
    [
        ("fill", FillState.Shape),
        ("bands", BandsState.Shape),
        ("oscillation", OscillationState.Shape),
        ("margin", MarginState.Shape),
        ("conditions", ConditionsState.Shape),
        ("roll", RollState.Shape),
        ("film-path", FilmPathState.Shape),
    ];

    public static IEnumerable<StatePayload> Of(MachineState state) =>
        All.Select(kind => new StatePayload(kind.Name, kind.Shape.Of(state)));
}
