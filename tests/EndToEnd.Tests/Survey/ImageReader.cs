using Dancerwatch.EdgeAgent;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.EndToEnd.Tests.Survey;

/// <summary>Reads what the machine's controller knows without a network between, where the protocol is not the point.</summary>
internal sealed class ImageReader(VirtualDancer machine, IReadOnlyList<TagRequest> tags, MonotonicClock clock)
    : ITagReader
{
    public IReadOnlyList<TagRequest> Tags => tags;

    public string? Trouble => null;

    public string? TagTrouble(int tag) => null;

    public ValueTask ReadAsync(TagSnapshot into, CancellationToken cancellation)
    {
        into.Ticks = clock.Ticks;
        for (int i = 0; i < tags.Count; i++)
        {
            into.Numbers[i] = Value(
                tags[i].Name[(tags[i].Name.IndexOf('.', StringComparison.Ordinal) + 1)..]
            );
            into.Statuses[i] = TagStatus.Good;
        }
        return ValueTask.CompletedTask;
    }

    public ValueTask DisposeAsync() => ValueTask.CompletedTask;

    private double Value(string tag) =>
        tag switch
        {
            "DancerGap" => machine.Image.GapCounts,
            "UnwindSpeed" => machine.Image.UnwindSpeed,
            "UnwindCommand" => machine.Image.UnwindCommand,
            "LineSpeed" => machine.Image.LineSpeed,
            "CycleRate" => machine.Image.CycleRate,
            "Running" => machine.Image.Running ? 1 : 0,
            "TargetFill" => machine.Image.TargetFill,
            "GapAtFull" => machine.Image.GapAtFull,
            "GapAtEmpty" => machine.Image.GapAtEmpty,
            "FullSideTrip" => machine.Image.FullSideTrip ? 1 : 0,
            "EmptySideTrip" => machine.Image.EmptySideTrip ? 1 : 0,
            "BrakeOn" => machine.Image.BrakeOn ? 1 : 0,
            "BrakePressure" => machine.Image.BrakePressure,
            _ => throw new ArgumentOutOfRangeException(nameof(tag), tag, "no tag of the hall"),
        };
}
