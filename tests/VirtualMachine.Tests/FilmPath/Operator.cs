using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.VirtualMachine.Tests.FilmPath;

/// <summary>Somebody who runs a machine for a test: starts, stops, and puts a new roll on before the old one ends.</summary>
internal static class Operator
{
    /// <summary>Runs for so long or until the trip, standing for ten seconds in each ninety.</summary>
    /// <returns>Whether it tripped.</returns>
    public static bool RunsIntoTrip(this VirtualDancer dancer, int seconds)
    {
        for (int second = 0; second < seconds && !dancer.IsTripped; second++)
        {
            if (second % 90 == 0)
                dancer.Start();
            if (second % 90 == 80)
                dancer.Stop();
            dancer.Advance(1);
        }
        return dancer.IsTripped;
    }

    /// <summary>Stops, puts a roll on and starts again where film for less than two minutes is left.</summary>
    public static void ChangeRollInTime(this VirtualDancer dancer, MachineParameters machine)
    {
        if (dancer.Truth.RollMeters > 2 * machine.LineMetersPerMinute)
            return;
        dancer.Stop();
        dancer.Advance(5);
        dancer.ChangeRoll(machine.RollDiameterMillimeters);
        dancer.Start();
    }

    /// <summary>Samples one number every so many seconds.</summary>
    public static double[] Sample(
        this VirtualDancer dancer,
        int samples,
        double intervalSeconds,
        Func<VirtualDancer, double> number
    )
    {
        double[] values = new double[samples];
        for (int i = 0; i < samples; i++)
        {
            dancer.Advance(intervalSeconds);
            values[i] = number(dancer);
        }
        return values;
    }

    public static double Swing(this double[] values) => values.Max() - values.Min();

    public static double StandardDeviation(this double[] values)
    {
        double mean = values.Average();
        return Math.Sqrt(values.Sum(value => (value - mean) * (value - mean)) / values.Length);
    }

    /// <summary>Frequency of the strongest line by a plain scan of the Fourier sum, Hz.</summary>
    public static double StrongestHertz(
        this double[] values,
        double intervalSeconds,
        double lowest,
        double highest
    )
    {
        double mean = values.Average();
        double Power(double hertz)
        {
            (double re, double im) = (0, 0);
            for (int i = 0; i < values.Length; i++)
            {
                (double sine, double cosine) = Math.SinCos(2 * Math.PI * hertz * i * intervalSeconds);
                re += (values[i] - mean) * cosine;
                im += (values[i] - mean) * sine;
            }
            return (re * re) + (im * im);
        }
        return Enumerable.Range(0, 400).Select(i => lowest + ((highest - lowest) * i / 399)).MaxBy(Power);
    }
}
