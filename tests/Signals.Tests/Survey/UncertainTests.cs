using Dancerwatch.Signals.Survey;

namespace Dancerwatch.Signals.Tests.Survey;

public sealed class UncertainTests
{
    [Fact]
    public void Contributions_add_by_squares()
    {
        Assert.Equal(new Uncertain(10, 5), new Uncertain(10, 3).With(4));
        Assert.Equal(new Uncertain(7, 5), new Uncertain(10, 3).Less(new Uncertain(3, 4)));
    }

    // Relative contributions of 3 % and 4 % make 5 % of a product and of a quotient (GUM 5.1.6).
    [Fact]
    public void Relative_contributions_add_by_squares_in_products_and_quotients()
    {
        Uncertain three = new(100, 3);
        Uncertain four = new(50, 2);

        Assert.Equal(5000, three.Product(four).Value, 1e-9);
        Assert.Equal(250, three.Product(four).Plus, 1e-9);
        Assert.Equal(2, three.Over(four).Value, 1e-12);
        Assert.Equal(0.1, three.Over(four).Plus, 1e-12);
    }

    [Fact]
    public void What_is_not_known_stays_not_known()
    {
        Assert.False(Uncertain.Unknown.Less(new Uncertain(1, 1)).IsKnown);
        Assert.False(new Uncertain(1, 1).Over(Uncertain.Unknown).IsKnown);
    }
}
