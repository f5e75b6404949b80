using System.Net.Sockets;
using Dancerwatch.EdgeAgent;
using Dancerwatch.EdgeAgent.Controllers;

namespace Dancerwatch.Polling;

/// <summary>
/// One controller, asked again as soon as it has answered. Beside it, what a bare socket does with as many bytes against
/// a thread that sends them back, and what asking for each tag by itself would bring.
/// </summary>
internal static class Fastest
{
    private static readonly TimeSpan s_warmUp = TimeSpan.FromSeconds(2);
    private static readonly TimeSpan s_run = TimeSpan.FromSeconds(4);

    public static async Task RunAsync()
    {
        Console.WriteLine("One controller, asked again as soon as it has answered");
        Console.WriteLine("  tags   cycles/s   us/cycle   client us   controller us   allocated B/cycle");
        await using ControllerProcess controllers = new(1, 64);
        (double alone, _) = await CyclesAsync(controllers, 1);
        foreach ((int tags, int goal) in new[] { (8, 12_000), (64, 6_000) })
        {
            (double cycles, string line) = await CyclesAsync(controllers, tags);
            Console.WriteLine(line);
            double echo = Echo(controllers, bytes: 60 + (40 * tags));
            Console.WriteLine($"  a bare socket, as many bytes sent back: {echo:0}/s");
            Row.Print(
                $"polling: {tags} tags as fast as they come, beside a bare socket",
                $">= {goal} /s",
                cycles,
                echo
            );
            Row.Print(
                $"polling: the same, beside a request for each tag",
                $">= {goal} /s",
                cycles,
                alone / tags
            );
        }
    }

    /// <summary>Cycles a second, and a line that says what they cost.</summary>
    internal static async Task<(double PerSecond, string Line)> CyclesAsync(
        ControllerProcess controllers,
        int tags
    )
    {
        MonotonicClock clock = new(TimeProvider.System);
        await using ITagReader reader = controllers.Reader(0, clock, tags);
        TagSnapshot snapshot = new(tags);
        await ReadForAsync(s_warmUp);
        long cycles = 0;
        long allocated = GC.GetTotalAllocatedBytes(precise: true);
        Cost cost = await Cost.OfAsync(controllers, async () => cycles = await ReadForAsync(s_run));
        allocated = GC.GetTotalAllocatedBytes(precise: true) - allocated;
        if (snapshot.Statuses.Any(status => status != TagStatus.Good))
            throw new InvalidOperationException("Not every tag was read: these are no numbers.");
        const double micro = 1e6;
        return (
            cycles / cost.Seconds,
            $"  {tags, 4}   {cycles / cost.Seconds, 8:0}   {micro * cost.Seconds / cycles, 8:0.0}   {micro * cost.Client / cycles, 9:0.0}   {micro * cost.Controllers / cycles, 13:0.0}   {allocated / (double)cycles, 17:0.00}"
        );

        async Task<long> ReadForAsync(TimeSpan span)
        {
            long count = 0;
            for (long end = clock.Ticks + span.Ticks; clock.Ticks < end; count++)
                await reader.ReadAsync(snapshot, CancellationToken.None);
            return count;
        }
    }

    private static double Echo(ControllerProcess controllers, int bytes)
    {
        using Socket socket = new(SocketType.Stream, ProtocolType.Tcp) { NoDelay = true };
        socket.Connect(controllers.Echo);
        byte[] frame = new byte[bytes];
        MonotonicClock clock = new(TimeProvider.System);
        long cycles = 0;
        long begun = clock.Ticks;
        for (; clock.Ticks - begun < s_run.Ticks; cycles++)
        {
            socket.Send(frame);
            for (int got = 0; got < bytes; )
                got += socket.Receive(frame);
        }
        return cycles / TimeSpan.FromTicks(clock.Ticks - begun).TotalSeconds;
    }
}
