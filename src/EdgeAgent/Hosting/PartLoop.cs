namespace Dancerwatch.EdgeAgent.Hosting;

/// <summary>A loop that is to run until it is stopped. Whatever ends it before is told, with the name of the part.</summary>
internal static class PartLoop
{
    /// <param name="loop">Null for a part that there is not.</param>
    /// <param name="died">Told the part that ended though it was not stopped, and why where it threw.</param>
    /// <returns>Done once it has ended; never with a fault.</returns>
    public static Task Run(
        string part,
        Func<CancellationToken, Task>? loop,
        Action<string, Exception?> died,
        CancellationToken cancellation
    ) =>
        loop is null
            ? Task.CompletedTask
            : Task.Run(
                async () =>
                {
                    try
                    {
                        await loop(cancellation);
                        if (!cancellation.IsCancellationRequested)
                            died(part, null);
                    }
#pragma warning disable CA1031 // Whatever it was, it is handed on, and ends the process.
                    catch (Exception failure)
#pragma warning restore CA1031
                    {
                        died(part, failure);
                    }
                },
                CancellationToken.None
            );
}
