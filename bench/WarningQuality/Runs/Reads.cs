using Dancerwatch.Bench.WarningQuality.Scenarios;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.Bench.WarningQuality.Runs;

/// <summary>What reads bring: most of them what is there now, some nothing, some what was there a poll ago or longer.</summary>
/// <param name="quality">How often.</param>
/// <param name="random">Their luck.</param>
internal sealed class Reads(ReadQuality quality, Random random)
{
    private ControllerImage _before;
    private int _staleLeft;

    /// <returns>What was read; null where the read failed.</returns>
    public ControllerImage? Next(in ControllerImage now)
    {
        ControllerImage read = _staleLeft > 0 || random.NextDouble() < quality.LateShare ? _before : now;
        if (_staleLeft > 0)
            _staleLeft--;
        else
        {
            _before = now;
            if (random.NextDouble() < quality.StaleShare)
                _staleLeft = ReadQuality.StalePolls;
        }
        return random.NextDouble() < quality.LossShare ? null : read;
    }
}
