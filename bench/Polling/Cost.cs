namespace Dancerwatch.Polling;

/// <summary>What work cost the two processes.</summary>
/// <param name="Seconds">How long it went on.</param>
/// <param name="Client">Processor time of this process, seconds.</param>
/// <param name="Controllers">Processor time of the controllers' process, seconds.</param>
internal readonly record struct Cost(double Seconds, double Client, double Controllers)
{
    public double ClientPercent => 100 * Client / Seconds;

    public double ControllersPercent => 100 * Controllers / Seconds;

    /// <summary>Measures what goes on while <paramref name="work"/> does.</summary>
    public static async Task<Cost> OfAsync(ControllerProcess controllers, Func<Task> work)
    {
        TimeProvider time = TimeProvider.System;
        TimeSpan theirs = controllers.ProcessorTime;
        TimeSpan ours = Environment.CpuUsage.TotalTime;
        long begun = time.GetTimestamp();
        await work();
        double seconds = time.GetElapsedTime(begun).TotalSeconds;
        return new Cost(
            seconds,
            (Environment.CpuUsage.TotalTime - ours).TotalSeconds,
            (controllers.ProcessorTime - theirs).TotalSeconds
        );
    }
}
