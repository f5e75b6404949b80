using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Signals.Tests.Memory;

/// <summary>A quarter of an hour in which much happens: swings, creeping, stops, a trip, readings lost. Some 45,000 readings.</summary>
internal static class RestlessTrace
{
    public static Reading[] Readings { get; } = [.. Make()];

    private static IEnumerable<Reading> Make()
    {
        TestFilm film = new();
        foreach (Reading reading in Run(film, 90, t => film.Next(50 + Math.Sin(t / 7))))
            yield return reading;
        for (int round = 0; round < 3; round++)
        {
            double size = 4 + 4 * round;
            IEnumerable<Reading>[] parts =
            [
                Run(film, 110, t => film.Next(50 + size * Math.Sin(2 * Math.PI * 0.11 * t), 12 + size / 20)),
                Run(film, 60, t => film.Next(50 + t * 0.8, 12.2)),
                Run(film, 20, t => film.Next(98 - 2 * t, 11)),
                Run(film, 4, _ => film.Next(60, unwind: 0, running: 0)),
                Run(film, 6, _ => film.NextFailed()),
                Run(film, 3, _ => film.Next(60, unwind: 0, running: 0)),
                Run(film, 40, _ => film.Next(58)),
                Run(film, 7, t => film.Next(58 - 9.5 * t, unwind: 2)),
                Run(film, 6, _ => film.Next(20, unwind: 0, running: 0)),
                Run(film, 30, _ => film.Next(50)),
            ];
            foreach (Reading reading in parts.SelectMany(part => part))
                yield return reading;
        }
    }

    private static IEnumerable<Reading> Run(TestFilm film, double seconds, Func<double, Reading> next)
    {
        double start = film.Seconds;
        while (film.Seconds - start < seconds)
            yield return next(film.Seconds - start);
    }
}
