using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Forecast;

/// <summary>
/// A forecast that has been wrong for long is believed less. The trips foretold so far are added up as a hazard; that none
/// came is evidence on how far the forecast exaggerates on this machine, now.
/// </summary>
/// <remarks>
/// The true hazard is taken as the foretold one times a factor with a Gamma prior of shape a and rate r; after a foretold
/// hazard H without a trip the factor's mean is a / (r + H) (Gamma-Poisson conjugacy). A mean a / r below 1 says that a
/// straight line foretells too much from the start. What was foretold is forgotten with a lag, so that what lasted for
/// hours does not excuse what begins now. And however certain the line, a share of developments never comes to a trip, for
/// near an end the controller fights back: a share that is immune, as in Boag 1949 (J. R. Statist. Soc. B 11, 15, from memory).
/// </remarks>
internal sealed class Survival
{
    /// <summary>No probability within five minutes is foretold beyond this.</summary>
    private const double MostCertain = 0.995;

    /// <summary>Fitted on virtual machines with seeds below 1,000 so that foretold and come agree.</summary>
    internal const double PriorShape = 1;
    internal const double PriorRate = 2;

    /// <summary>Share of certain developments that come to a trip, fitted with them.</summary>
    internal const double ShareThatTrips = 0.7;

    private const double HorizonSeconds = 300;
    private const double MemorySeconds = 3_600;

    private double _foretold;

    /// <summary>A trip came, or all is different: nothing was foretold yet.</summary>
    public void Clear() => _foretold = 0;

    /// <param name="elapsedSeconds">Since the last call, s.</param>
    /// <param name="probabilityIn5Minutes">Foretold now; NaN is left out.</param>
    public void Add(double elapsedSeconds, double probabilityIn5Minutes)
    {
        if (!double.IsFinite(probabilityIn5Minutes))
            return;
        _foretold +=
            elapsedSeconds * ((Hazard(probabilityIn5Minutes) / HorizonSeconds) - (_foretold / MemorySeconds));
    }

    /// <summary>A foretold probability in the light of what was foretold before; NaN of NaN.</summary>
    public double Temper(double probability) =>
        ShareThatTrips * (1 - Math.Exp(-Hazard(probability) * PriorShape / (PriorRate + _foretold)));

    private static double Hazard(double probability) => -Math.Log(1 - Math.Min(probability, MostCertain));

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Surv"u8);
        _foretold = ledger.Keep(_foretold);
    }
}
