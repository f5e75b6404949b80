using System.Runtime.CompilerServices;
using Dancerwatch.EdgeAgent.Waiting;

namespace Dancerwatch.EdgeAgent.Tests.Waiting;

public sealed class ReusingMethodBuilderTests
{
    private static readonly AsyncLocal<string?> s_about = new();

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public async Task A_result_arrives_whether_the_method_had_to_wait_or_not(bool waits)
    {
        TaskCompletionSource gate = new();
        if (!waits)
            gate.SetResult();

        ValueTask<int> sum = SumAsync(3, gate.Task);

        Assert.Equal(waits, !sum.IsCompleted);
        gate.TrySetResult();
        Assert.Equal(6, await sum);
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public async Task A_failure_arrives_as_it_was_thrown(bool waits)
    {
        TaskCompletionSource gate = new();
        if (!waits)
            gate.SetException(new TimeoutException("the controller slept"));

        ValueTask<int> sum = SumAsync(1, gate.Task);

        gate.TrySetException(new TimeoutException("the controller slept"));
        TimeoutException failure = await Assert.ThrowsAsync<TimeoutException>(async () => await sum);
        Assert.Equal("the controller slept", failure.Message);
    }

    [Fact]
    public async Task Many_at_once_each_have_their_own_result_round_after_round()
    {
        const int atOnce = 100;
        for (int round = 0; round < 3; round++)
        {
            TaskCompletionSource[] gates =
            [
                .. Enumerable.Range(0, atOnce).Select(_ => new TaskCompletionSource()),
            ];
            ValueTask<int>[] sums = [.. gates.Select((gate, i) => SumAsync(i, gate.Task))];
            foreach (TaskCompletionSource gate in gates.Reverse())
                gate.SetResult();

            for (int i = 0; i < atOnce; i++)
                Assert.Equal(i * (i + 1) / 2, await sums[i]);
        }
    }

    [Fact]
    public async Task A_task_that_was_awaited_is_not_to_be_awaited_again()
    {
        TaskCompletionSource gate = new();
        ValueTask<int> sum = SumAsync(2, gate.Task);
        gate.SetResult();
        Assert.Equal(3, await sum);

        await Assert.ThrowsAsync<InvalidOperationException>(async () => await sum);

        // And takes nothing from those that come after.
        TaskCompletionSource another = new();
        ValueTask<int> four = SumAsync(4, another.Task);
        ValueTask<int> five = SumAsync(5, another.Task);
        another.SetResult();
        Assert.Equal(10, await four);
        Assert.Equal(15, await five);
    }

    [Fact]
    public async Task What_the_caller_is_about_goes_along_and_does_not_come_back()
    {
        s_about.Value = "tea-1";
        TaskCompletionSource gate = new();
        ValueTask<string?> said = AboutAsync(gate.Task);
        s_about.Value = "tea-2";

        await Task.Run(gate.SetResult, TestContext.Current.CancellationToken);

        Assert.Equal("tea-1", await said);
        Assert.Equal("tea-2", s_about.Value);
    }

    /// <summary>1 + 2 + ... + <paramref name="last"/>, by calls one within the other.</summary>
    [AsyncMethodBuilder(typeof(ReusingMethodBuilder<>))]
    private static async ValueTask<int> SumAsync(int last, Task gate)
    {
        if (last > 0)
            return last + await SumAsync(last - 1, gate);
        await PassAsync(gate);
        return 0;
    }

    [AsyncMethodBuilder(typeof(ReusingMethodBuilder))]
    private static async ValueTask PassAsync(Task gate) => await gate;

    [AsyncMethodBuilder(typeof(ReusingMethodBuilder<>))]
    private static async ValueTask<string?> AboutAsync(Task gate)
    {
        await gate;
        string? about = s_about.Value;
        s_about.Value = "nobody";
        return about;
    }
}
