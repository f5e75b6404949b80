using Dancerwatch.EdgeAgent.Hosting.Service;
using Microsoft.Extensions.Time.Testing;

namespace Dancerwatch.EdgeAgent.Tests.Hosting.Service;

public sealed class AliveFileTests : IDisposable
{
    private readonly DirectoryInfo _directory = Directory.CreateTempSubdirectory("dancerwatch-alive-");
    private readonly FakeTimeProvider _time = new();
    private readonly AliveFile _file;

    public AliveFileTests()
    {
        _time.Advance(TimeSpan.FromHours(1)); // since the computer's start
        _file = new AliveFile(_directory.FullName, _time);
    }

    [Fact]
    public void The_last_sign_grows_older_until_there_is_another()
    {
        _file.Write();
        _time.Advance(TimeSpan.FromSeconds(31));
        Assert.Equal(TimeSpan.FromSeconds(31), _file.Age());

        _file.Write();
        Assert.Equal(TimeSpan.Zero, _file.Age());
    }

    [Fact]
    public void Without_a_sign_there_is_no_age() => Assert.Null(_file.Age());

    [Theory]
    [InlineData("")]
    [InlineData("yesterday")]
    [InlineData("-5")]
    [InlineData("9223372036854775807")] // from before the computer was started anew
    public void What_is_no_time_of_this_computer_is_no_sign(string text)
    {
        File.WriteAllText(Path.Combine(_directory.FullName, "alive"), text);

        Assert.Null(_file.Age());
    }

    [Fact]
    public void A_directory_that_is_not_there_stops_nothing()
    {
        AliveFile nowhere = new(Path.Combine(_directory.FullName, "nowhere"), _time);

        nowhere.Write();

        Assert.Null(nowhere.Age());
    }

    public void Dispose() => _directory.Delete(recursive: true);
}
