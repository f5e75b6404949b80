using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Outbox.Disk;
using FsCheck;
using FsCheck.Xunit;
using Microsoft.Extensions.Time.Testing;

namespace Dancerwatch.EdgeAgent.Tests.Outbox.Disk;

/// <summary>
/// What is promised, kept through kills and power cuts at any step: what was given out is kept; what is kept arrives, in
/// order, and no number is ever two events'.
/// </summary>
public sealed class PowerCutTests
{
    private readonly FakeTimeProvider _time = new();

    [Property(MaxTest = 300)]
    public void What_was_on_disk_arrives_and_no_number_is_used_twice(int seed, PositiveInt steps)
    {
        Random random = new(seed);
        FragileFolder folder = new();
        (EventOutbox outbox, DiskStore store) = Outboxes.OnDisk(folder, _time);
        int raised = 0;
        HashSet<int> kept = [];
        HashSet<int> acknowledged = [];
        HashSet<long> lost = [];
        Dictionary<long, string> ids = [];
        List<int> inMemory = [];
        int repeats = 0;
        int ends = 0;

        for (int i = 0; i < steps.Get * 3; i++)
        {
            switch (random.Next(6))
            {
                case 0 or 1:
                    for (int n = random.Next(1, 60); n > 0; n--)
                    {
                        inMemory.Add(raised);
                        outbox.Raise(Outboxes.Event(raised++));
                    }
                    break;
                case 2:
                    store.Tend();
                    kept.UnionWith(inMemory);
                    inMemory.Clear();
                    break;
                case 3 or 4:
                    Send(random.Next(1, 60));
                    break;
                default:
                    folder = random.Next(3) == 0 ? folder.Kill() : folder.CutPower(random);
                    (outbox, store) = Outboxes.OnDisk(folder, _time);
                    inMemory.Clear();
                    ends++;
                    break;
            }
        }
        store.Tend();
        kept.UnionWith(inMemory);
        Send(int.MaxValue, connectionsBreak: false);

        Assert.Empty(kept.Except(acknowledged));
        Assert.Equal(0, outbox.Damages);
        // What may be told as lost is what nobody knew of: a write that was broken off in its middle.
        Assert.Empty(lost.Intersect(ids.Keys));
        Assert.InRange(lost.Count, 0, ends);
        Assert.True(ends > 0 || repeats == 0);

        void Send(int atMost, bool connectionsBreak = true)
        {
            long before = 0;
            for (int sent = 0; sent < atMost && outbox.TryPeek() is { } entry; sent++)
            {
                if (entry.Lost.IsEmpty)
                {
                    Assert.True(entry.Sequence > before);
                    before = entry.Sequence;
                    Assert.Equal(entry.Id, ids.GetValueOrDefault(entry.Sequence, entry.Id));
                    ids[entry.Sequence] = entry.Id;
                    kept.Add(Outboxes.NumberOf(entry));
                    // Given out and not acknowledged: as when the connection is lost on the way.
                    if (connectionsBreak && random.Next(20) == 0)
                        return;
                    if (!acknowledged.Add(Outboxes.NumberOf(entry)))
                        repeats++;
                }
                else
                {
                    lost.UnionWith(
                        Enumerable
                            .Range((int)entry.Lost.First, (int)(entry.Lost.Last - entry.Lost.First + 1))
                            .Select(n => (long)n)
                    );
                }
                outbox.Acknowledge(entry);
            }
        }
    }

    [Property(MaxTest = 100)]
    public void After_a_kill_no_acknowledged_event_is_sent_again(int seed)
    {
        Random random = new(seed);
        FragileFolder folder = new();
        (EventOutbox outbox, DiskStore store) = Outboxes.OnDisk(folder, _time);
        HashSet<long> acknowledged = [];
        int raised = 0;
        for (int i = 0; i < 40; i++)
        {
            for (int n = random.Next(1, 30); n > 0; n--)
                outbox.Raise(Outboxes.Event(raised++));
            store.Tend();
            for (int n = random.Next(1, 40); n > 0 && outbox.TryPeek() is { } entry; n--)
            {
                Assert.True(acknowledged.Add(entry.Sequence));
                outbox.Acknowledge(entry);
            }
            if (random.Next(3) == 0)
                (outbox, store) = Outboxes.OnDisk(folder = folder.Kill(), _time);
        }
    }
}
