namespace Dancerwatch.Polling;

/// <summary>Many controllers at a pace: what that costs, how late polls start, and whether one is missed.</summary>
internal static class Paced
{
    private static readonly TimeSpan s_run = TimeSpan.FromSeconds(10);

    public static async Task RunAsync()
    {
        Console.WriteLine("8 tags of each controller every 20 ms");
        Percentiles floor = BareDeadlines.Wait(Hall.Period, s_run);
        Console.WriteLine($"  a bare thread that sleeps until each deadline: late {floor}");
        foreach (int controllers in new[] { 16, 64 })
        {
            (Cost cost, PollMeter meter) = await Hall.PollAsync(controllers, s_run);
            (Cost delayCost, PollMeter delayed) = await Hall.DelayAsync(controllers, s_run);
            Say($"{controllers} controllers", cost, meter);
            Say($"{controllers} loops that read and wait", delayCost, delayed);
            if (controllers == 16)
            {
                Row.Print(
                    "polling: 16 controllers, of one core",
                    "<= 6 %",
                    cost.ClientPercent,
                    delayCost.ClientPercent
                );
                Row.Print(
                    "polling: start-late p99, beside loops that read and wait",
                    "<= 0.15 ms",
                    meter.Lateness.Milliseconds(0.99),
                    delayed.Lateness.Milliseconds(0.99)
                );
                Row.Print(
                    "polling: the same, beside a bare thread",
                    "<= 0.15 ms",
                    meter.Lateness.Milliseconds(0.99),
                    floor.Milliseconds(0.99)
                );
            }
            else
            {
                Row.Print(
                    "polling: 64 controllers, deadlines missed",
                    "0",
                    meter.Missed,
                    meter.Lateness.Count
                );
            }
        }
    }

    private static void Say(string what, Cost cost, PollMeter meter)
    {
        Console.WriteLine($"  {what}: {meter.Lateness.Count} polls, {meter.Missed} missed");
        Console.WriteLine(
            $"    of one core: client {cost.ClientPercent:0.0} %, controllers {cost.ControllersPercent:0.0} %"
        );
        Console.WriteLine($"    late    {meter.Lateness}");
        Console.WriteLine($"    a poll  {meter.Duration}");
    }
}
