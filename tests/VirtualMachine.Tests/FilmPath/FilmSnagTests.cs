using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.VirtualMachine.Tests.FilmPath;

public sealed class FilmSnagTests
{
    [Fact]
    public void A_snag_holds_its_share_of_time()
    {
        FilmSnag snag = new(10, new Random(1));
        int held = Enumerable.Range(0, 2_000_000).Count(_ => snag.Step(0.001, 0.3) > 0);

        Assert.Equal(0.3, held / 2e6, tolerance: 0.03);
        Assert.Equal(0, snag.Step(0.001, 0));
    }
}
