using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.EdgeAgent.Watching.Payloads;
using Dancerwatch.Fleet.Records;
using Orleans.Storage;

namespace Dancerwatch.Fleet.Holding;

/// <summary>
/// What was told of a controller's machines, written down for all hosts before it is published: whoever reads the controller
/// next knows what is raised. Only the holder writes; one who is not any more learns of it by the first write. For one caller at
/// a time.
/// </summary>
internal sealed class ToldBook(Record<WatchRecord> record, Holder holder)
{
    /// <summary>Events of one controller that wait for a broker are kept here up to so many, about 1.3 kB each; the oldest give way.</summary>
    public const int MostWaiting = 1_000;

    private WatchRecord Book => record.Value;

    /// <summary>Number of the last event that is written down.</summary>
    public long LastNumber { get; private set; }

    /// <summary>What stands there.</summary>
    public IReadOnlyList<ToldEvent> Told => Book.Told;

    /// <summary>Who holds the controller as it was read last.</summary>
    public Holder? Holder => Book.Holder;

    public Task ReadAsync() => record.ReadAsync();

    /// <summary>Enters the holder as such.</summary>
    /// <exception cref="InconsistentStateException">Somebody else wrote since it was read.</exception>
    public async Task ClaimAsync()
    {
        Book.Holder = holder;
        await record.WriteAsync();
        LastNumber = Book.LastNumber;
    }

    /// <summary>Writes events down.</summary>
    /// <param name="delivered">Ids that the broker has taken meanwhile.</param>
    /// <returns>How many that wait for a broker gave way; null where another holds the controller, and nothing is written.</returns>
    public async Task<int?> WriteAsync(
        IReadOnlyList<MachineEvent> raised,
        IReadOnlySet<string> delivered,
        bool giveBack = false
    )
    {
        List<ToldEvent> told = [.. Book.Told];
        long number = LastNumber;
        foreach (MachineEvent one in raised)
        {
            number++;
            told.Add(
                new ToldEvent
                {
                    Number = number,
                    Id = one.Id,
                    Source = one.Place.Path,
                    Payload = EventPayload.Of(one, number),
                }
            );
        }
        foreach (ToldEvent one in told)
            one.IsDelivered |= delivered.Contains(one.Id);
        int forgotten = Thin(told);
        while (true)
        {
            Book.Told = told;
            Book.LastNumber = number;
            Book.Holder = giveBack ? null : holder;
            try
            {
                await record.WriteAsync();
                LastNumber = number;
                return forgotten;
            }
            catch (InconsistentStateException)
            {
                await record.ReadAsync();
                // Else it was a write of our own, which arrived though it seemed to fail.
                if (Book.Holder != holder)
                    return null;
            }
        }
    }

    /// <summary>Keeps of each condition what was told last, and what waits for a broker.</summary>
    private static int Thin(List<ToldEvent> told)
    {
        HashSet<string> later = [];
        int waiting = 0;
        int forgotten = 0;
        for (int i = told.Count - 1; i >= 0; i--)
        {
            bool isLast = later.Add(told[i].Subject);
            bool waits = !told[i].IsDelivered && ++waiting <= MostWaiting;
            if (isLast || waits)
                continue;
            if (!told[i].IsDelivered)
                forgotten++;
            told.RemoveAt(i);
        }
        return forgotten;
    }
}
