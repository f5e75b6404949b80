using Dancerwatch.EdgeAgent.Waiting;

namespace Dancerwatch.EdgeAgent.Tests.Waiting;

public sealed class PlacesTests
{
    [Fact]
    public void The_lowest_number_that_is_free_is_taken_and_one_that_was_left_is_free()
    {
        Places<string> places = new();

        Assert.Equal([0, 1, 2], new[] { "a", "b", "c" }.Select(places.Take));
        places.Leave("b");
        places.Leave("never there");

        Assert.Null(places[1]);
        Assert.Null(places[7]);
        Assert.Equal(1, places.Take("d"));
        Assert.Equal("d", places[1]);
        Assert.Equal(3, places.Take("e"));
    }
}
