using System.Globalization;
using Dancerwatch.EndToEnd.Tests.Outbox;

namespace Dancerwatch.EndToEnd.Tests.HostileInput;

/// <summary>What became of many inputs that were bent, how long the slowest took, and whether memory grew meanwhile.</summary>
internal sealed class Tally(string what)
{
    /// <summary>More than any input may take, also on a computer that is busy with other tests.</summary>
    private static readonly TimeSpan s_longest = TimeSpan.FromSeconds(5);

    /// <summary>Live memory may grow by this much: tables of the runtime and of the test itself, bytes.</summary>
    private const long MostGrowth = 4 << 20;

    private readonly SortedDictionary<string, long> _outcomes = [];
    private long _begun;
    private TimeSpan _slowest;
    private long _memory = -1;
    private long _memoryAt;

    public long Count { get; private set; }

    /// <summary>An input begins.</summary>
    public void Begin() => _begun = TimeProvider.System.GetTimestamp();

    /// <summary>It has ended.</summary>
    /// <param name="inputs">So many inputs in one.</param>
    public void End(string outcome, long inputs = 1)
    {
        TimeSpan took = TimeProvider.System.GetElapsedTime(_begun);
        _slowest = took > _slowest ? took : _slowest;
        _outcomes[outcome] = _outcomes.GetValueOrDefault(outcome) + 1;
        Count += inputs;
    }

    public long Of(string outcome) => _outcomes.GetValueOrDefault(outcome);

    /// <summary>From here on memory must not grow: what is made once has been made.</summary>
    public void IsWarm()
    {
        if (_memory >= 0)
            return;
        _memory = GC.GetTotalMemory(forceFullCollection: true);
        _memoryAt = Count;
    }

    /// <summary>Says what there is to say, and holds that nothing hung or grew.</summary>
    public void Close(string corpus)
    {
        long growth = GC.GetTotalMemory(forceFullCollection: true) - _memory;
        string outcomes = string.Join(", ", _outcomes.Select(o => $"{o.Value} {o.Key}"));
        Torture.Say(
            string.Create(
                CultureInfo.InvariantCulture,
                $"{what}: {Count} from {corpus}: {outcomes}; slowest {_slowest.TotalMilliseconds:F0} ms; live memory {growth / 1024.0:+0;-0} kB since the {_memoryAt}th"
            )
        );
        Assert.InRange(_slowest, TimeSpan.Zero, s_longest);
        Assert.True(_memory >= 0 && growth < MostGrowth, $"live memory grew by {growth} bytes");
    }
}
