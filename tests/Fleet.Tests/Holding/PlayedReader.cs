using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Fleet.Tests.Holding;

/// <summary>Reads a recording in place of a controller, a reading a poll; then the last of it is read no more.</summary>
internal sealed class PlayedReader(
    IReadOnlyList<TagRequest> tags,
    WatchedMachineSettings machine,
    IReadOnlyList<Reading> recording
) : ITagReader
{
    private int _next;

    /// <summary>Done once all was read.</summary>
    public TaskCompletionSource IsOver { get; } = new(TaskCreationOptions.RunContinuationsAsynchronously);

    public IReadOnlyList<TagRequest> Tags => tags;

    public string? Trouble => null;

    public string? TagTrouble(int tag) => null;

    public async ValueTask ReadAsync(TagSnapshot into, CancellationToken cancellation)
    {
        if (_next == recording.Count)
        {
            IsOver.TrySetResult();
            await Task.Delay(Timeout.Infinite, cancellation);
        }
        Reading reading = recording[_next++];
        into.Fail(reading.Ticks, TagStatus.TimedOut);
        foreach (SignalSource source in machine.Signals)
        {
            int place = tags.ToList().IndexOf(source.Tag);
            into.Numbers[place] = reading[source.Signal];
            into.Statuses[place] = double.IsNaN(reading[source.Signal]) ? TagStatus.TimedOut : TagStatus.Good;
        }
    }

    public ValueTask DisposeAsync() => ValueTask.CompletedTask;
}
