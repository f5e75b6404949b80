using System.Globalization;
using Dancerwatch.EdgeAgent.Hosting.Service;

namespace Dancerwatch.EdgeAgent.Tests.Hosting.Service;

public sealed class ServiceManagerTests
{
    [Theory, InlineData(false), InlineData(true)]
    public void What_is_said_arrives_by_a_path_and_by_an_abstract_name(bool isAbstract)
    {
        using FakeManager fake = new(isAbstract);
        using ServiceManager manager = new(fake.Address, watchdog: null, TimeProvider.System);

        manager.Ready("Machines: 2");
        manager.Alive();
        manager.Status("Machines: 3");
        manager.Stopping();

        Assert.Equal(
            [
                "READY=1\nSTATUS=Machines: 2",
                "WATCHDOG=1",
                "STATUS=Machines: 3",
                "STOPPING=1\nSTATUS=Stopping",
            ],
            fake.Received
        );
    }

    [Fact]
    public void A_reload_is_announced_with_the_kernels_monotonic_time_in_microseconds()
    {
        using FakeManager fake = new();
        using ServiceManager manager = new(fake.Address, watchdog: null, TimeProvider.System);

        manager.Reloading();
        double after = Uptime();

        string[] lines = fake.Received.Single().Split('\n');
        Assert.Equal("RELOADING=1", lines[0]);
        string microseconds = lines[1]["MONOTONIC_USEC=".Length..];
        double seconds = long.Parse(microseconds, NumberStyles.None, CultureInfo.InvariantCulture) / 1e6;
        // /proc/uptime counts hundredths, and time asleep as well: the monotonic clock is never ahead of it.
        Assert.InRange(seconds, after / 100, after + 0.01);
    }

    [Fact]
    public void A_manager_that_is_gone_or_reads_nothing_holds_nobody_up()
    {
        FakeManager deaf = new();
        using ServiceManager manager = new(deaf.Address, watchdog: null, TimeProvider.System);
        for (int i = 0; i < 10_000; i++) // far more than the kernel queues
            manager.Alive();
        Assert.InRange(deaf.Received.Count, 1, 9_999);
        deaf.Dispose();
        manager.Alive();

        using ServiceManager none = new(address: null, watchdog: null, TimeProvider.System);
        none.Ready("nobody listens");
    }

    [Theory]
    [InlineData("30000000", null, 30.0)]
    [InlineData("500", null, 0.0005)]
    [InlineData("30000000", "1", null)] // the watchdog is for another process
    [InlineData("0", null, null)]
    [InlineData("-1", null, null)]
    [InlineData("soon", null, null)]
    [InlineData("9223372036854775807", null, null)]
    [InlineData(null, null, null)]
    public void The_watchdog_is_read_from_the_environment(
        string? microseconds,
        string? process,
        double? seconds
    )
    {
        Assert.Equal(seconds, ServiceManager.WatchdogOf(microseconds, process)?.TotalSeconds);
    }

    private static double Uptime() =>
        double.Parse(File.ReadAllText("/proc/uptime").Split(' ')[0], CultureInfo.InvariantCulture);
}
