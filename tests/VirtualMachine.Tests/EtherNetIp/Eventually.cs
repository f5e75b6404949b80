namespace Dancerwatch.VirtualMachine.Tests.EtherNetIp;

internal static class Eventually
{
    private static readonly TimeSpan s_patience = TimeSpan.FromSeconds(10);

    /// <summary>Waits, yielding, until the condition holds; fails after ten seconds.</summary>
    public static async Task Holds(Func<bool> condition)
    {
        using CancellationTokenSource patience = new(s_patience);
        while (!condition())
            await Task.Delay(1, patience.Token);
    }
}
