using Dancerwatch.EdgeAgent.Controllers;

namespace Dancerwatch.EdgeAgent.Tests.Commands.Checks;

/// <summary>A controller that answers what a test tells it to, tag by tag, poll by poll.</summary>
internal sealed class ScriptedReader(MonotonicClock clock, IReadOnlyList<TagRequest> tags) : ITagReader
{
    /// <summary>Value of a tag at a poll (counted from 0); null: the controller does not know it.</summary>
    public required Func<string, int, double?> Answer { get; init; }

    public string? Trouble { get; set; }

    public int Polls { get; private set; }

    public IReadOnlyList<TagRequest> Tags { get; } = tags;

    public ValueTask ReadAsync(TagSnapshot into, CancellationToken cancellation)
    {
        into.Fail(clock.Ticks, TagStatus.NotRead);
        for (int i = 0; i < Tags.Count && Trouble is null; i++)
        {
            double? value = Answer(Tags[i].Name, Polls);
            into.Statuses[i] = value is null ? TagStatus.NoSuchTag : TagStatus.Good;
            into.Numbers[i] = value ?? double.NaN;
        }
        Polls++;
        return ValueTask.CompletedTask;
    }

    public string? TagTrouble(int tag) =>
        Answer(Tags[tag].Name, 0) is null ? $"tag '{Tags[tag].Name}' was not found" : null;

    public ValueTask DisposeAsync() => ValueTask.CompletedTask;
}
