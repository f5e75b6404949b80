namespace Dancerwatch.Polling;

/// <summary>How cost grows: with controllers at a pace, and with tags as fast as they come.</summary>
internal static class Growth
{
    private static readonly TimeSpan s_run = TimeSpan.FromSeconds(5);

    public static async Task RunAsync()
    {
        Console.WriteLine("Controllers of 8 tags every 20 ms");
        Console.WriteLine("  controllers   client %   controllers %   client us/poll   late p99 ms   missed");
        List<(double X, double Y)> points = [];
        foreach (int controllers in new[] { 1, 4, 16, 64, 256 })
        {
            (Cost cost, PollMeter meter) = await Hall.PollAsync(controllers, s_run);
            points.Add((controllers, cost.ClientPercent));
            Console.WriteLine(
                $"  {controllers, 11}   {cost.ClientPercent, 8:0.0}   {cost.ControllersPercent, 13:0.0}   {1e6 * cost.Client / meter.Lateness.Count, 14:0.0}   {meter.Lateness.Milliseconds(0.99), 11:0.000}   {meter.Missed, 6}"
            );
        }
        Console.WriteLine($"  each further controller: {Slope(points):0.00} % of one core");

        Console.WriteLine("Tags of one controller, asked again as soon as it has answered");
        Console.WriteLine("  tags   cycles/s   us/cycle   client us   controller us   allocated B/cycle");
        points.Clear();
        await using ControllerProcess process = new(1, 64);
        foreach (int tags in new[] { 2, 4, 8, 16, 32, 64 })
        {
            (double cycles, string line) = await Fastest.CyclesAsync(process, tags);
            points.Add((tags, 1e6 / cycles));
            Console.WriteLine(line);
        }
        Console.WriteLine($"  each further tag: {Slope(points):0.00} us a cycle");
    }

    /// <summary>Of the line through them, by least squares.</summary>
    private static double Slope(IReadOnlyList<(double X, double Y)> points)
    {
        double x = points.Average(point => point.X);
        double y = points.Average(point => point.Y);
        return points.Sum(point => (point.X - x) * (point.Y - y))
            / points.Sum(point => (point.X - x) * (point.X - x));
    }
}
