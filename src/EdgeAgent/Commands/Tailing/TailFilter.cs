using Dancerwatch.EdgeAgent.Mqtt;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.EdgeAgent.Commands.Tailing;

/// <summary>Which warnings are told. What is not named does not matter.</summary>
/// <param name="Least">Of this priority or a higher one.</param>
internal sealed record TailFilter(
    IReadOnlyCollection<string> Machines,
    Priority Least,
    IReadOnlyCollection<string> Conditions
)
{
    private static readonly Priority[] s_priorities = Enum.GetValues<Priority>();

    /// <summary>Codes of all priorities, lowest first.</summary>
    public static IReadOnlyList<string> PriorityCodes { get; } =
    [.. s_priorities.Select(priority => priority.Code())];

    /// <summary>Codes of all conditions.</summary>
    public static IReadOnlyList<string> ConditionCodes { get; } =
    [.. Enum.GetValues<Condition>().Select(condition => condition.Code())];

    public bool Fits(ReceivedEvent heard) =>
        (Machines.Count == 0 || Machines.Contains(heard.Machine))
        && (Conditions.Count == 0 || Conditions.Contains(heard.Condition))
        && IsHighEnough(heard.Priority);

    // One that another version may have invented is told rather than kept back.
    private bool IsHighEnough(string? priority)
    {
        int place = s_priorities.Length - 1;
        while (place >= 0 && s_priorities[place].Code() != priority)
            place--;
        return place < 0 || s_priorities[place] >= Least;
    }
}
