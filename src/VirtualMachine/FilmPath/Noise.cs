namespace Dancerwatch.VirtualMachine.FilmPath;

/// <summary>Normal deviates, mean 0, standard deviation 1, by Marsaglia's polar method.</summary>
internal static class Noise
{
    public static double NextNormal(this Random random)
    {
        while (true)
        {
            double u = (2 * random.NextDouble()) - 1;
            double v = (2 * random.NextDouble()) - 1;
            double s = (u * u) + (v * v);
            if (s is > 0 and < 1)
                return u * Math.Sqrt(-2 * Math.Log(s) / s);
        }
    }
}
