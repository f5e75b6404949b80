using Dancerwatch.EdgeAgent.Mqtt.Sparkplug;
using Dancerwatch.EdgeAgent.Outbox.Disk;

namespace Dancerwatch.EdgeAgent.Tests.Mqtt.Sparkplug;

public sealed class ConnectionNumbersTests : IDisposable
{
    private readonly DirectoryInfo _directory = Directory.CreateTempSubdirectory("dancerwatch-numbers-");

    private string FilePath => Path.Combine(_directory.FullName, ConnectionNumbers.FileName);

    [Fact]
    public void They_go_from_0_to_255_and_round_again()
    {
        using ConnectionNumbers numbers = new(folder: null);

        Assert.Equal(
            [.. Enumerable.Range(0, 256), 0, 1],
            Enumerable.Range(0, 258).Select(_ => numbers.Next(out string? _))
        );
    }

    [Fact]
    public void A_later_run_goes_on_where_an_earlier_one_was_ended()
    {
        Assert.Equal([0, 1], Run(2));
        Assert.Equal([2, 3, 4], Run(3));
        Assert.Equal("004\n", File.ReadAllText(FilePath));
    }

    [Fact]
    public void It_goes_round_over_a_restart_too()
    {
        Run(256);

        Assert.Equal([0], Run(1));
    }

    [Theory]
    [InlineData("")]
    [InlineData("12")]
    [InlineData("abc\n")]
    [InlineData("999\n")]
    [InlineData("-12\n")]
    public void From_a_file_that_says_nothing_it_begins_anew(string text)
    {
        File.WriteAllText(FilePath, text);

        Assert.Equal([0, 1], Run(2));
    }

    [Fact]
    public void A_second_daemon_on_the_same_directory_is_refused_with_what_to_try()
    {
        using ConnectionNumbers first = new(new StateFolder(_directory.FullName));

        IOException refusal = Assert.Throws<IOException>(() =>
            new ConnectionNumbers(new StateFolder(_directory.FullName))
        );

        Assert.Contains("stateDirectory", refusal.Message, StringComparison.Ordinal);
    }

    public void Dispose() => _directory.Delete(recursive: true);

    private int[] Run(int connections)
    {
        using ConnectionNumbers numbers = new(new StateFolder(_directory.FullName));
        return
        [
            .. Enumerable
                .Range(0, connections)
                .Select(_ =>
                {
                    int number = numbers.Next(out string? trouble);
                    Assert.Null(trouble);
                    return number;
                }),
        ];
    }
}
