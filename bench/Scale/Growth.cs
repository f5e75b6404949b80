namespace Dancerwatch.Scale;

/// <summary>What a quantity grows with.</summary>
/// <param name="Name">Of one of them.</param>
/// <param name="Of">How many there are for so many machines.</param>
internal sealed record Driver(string Name, Func<int, double> Of)
{
    public static Driver Machines { get; } = new("machine", machines => machines);

    public static Driver Controllers { get; } = new("controller", machines => Sizes.Controllers(machines));
}

/// <summary>
/// One quantity's growth, as a straight line of what drives it: <c>base + each * driver</c>. Least squares of the relative errors,
/// so that one machine counts as much as 64.
/// </summary>
/// <param name="Driver">Of so many machines.</param>
internal sealed record Growth(
    string Name,
    string Unit,
    Driver Driver,
    Func<Sample, double> Of,
    double Base,
    double Each
)
{
    public static Growth Fit(
        string name,
        string unit,
        Driver driver,
        IReadOnlyList<Sample> samples,
        Func<Sample, double> of
    )
    {
        // Weights 1/y^2: normal equations of sum((base + each n - y)^2 / y^2).
        double s = 0;
        double sn = 0;
        double snn = 0;
        double sy = 0;
        double sny = 0;
        foreach (Sample sample in samples)
        {
            double y = of(sample);
            double n = driver.Of(sample.Machines);
            double w = 1 / (y * y);
            s += w;
            sn += w * n;
            snn += w * n * n;
            sy += w * y;
            sny += w * n * y;
        }
        double determinant = (s * snn) - (sn * sn);
        return new Growth(
            name,
            unit,
            driver,
            of,
            ((sy * snn) - (sn * sny)) / determinant,
            ((s * sny) - (sn * sy)) / determinant
        );
    }

    /// <summary>For machines shared out among daemons.</summary>
    public double At(int machines, int daemons = 1) => (daemons * Base) + (Each * Driver.Of(machines));
}
