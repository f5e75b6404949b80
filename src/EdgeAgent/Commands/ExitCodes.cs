namespace Dancerwatch.EdgeAgent.Commands;

/// <summary>What the program's exit code tells the caller. The one place where they are fixed; <c>--help</c> lists them.</summary>
public static class ExitCodes
{
    /// <summary>Done, and nothing to report.</summary>
    public const int Ok = 0;

    /// <summary>Done, and there are findings to act on: <c>check</c> found something, <c>replay</c> or <c>tune</c> had to leave something out, <c>survey</c> found something, <c>alive</c> saw no sign of life, <c>report</c> left something out, <c>tail</c> was asked whether something is warned of and it is.</summary>
    public const int Findings = 1;

    /// <summary>Wrong usage, or a configuration that cannot be used, or a period without a reading. Nothing was done.</summary>
    public const int Usage = 2;

    /// <summary>A controller or a broker could not be reached.</summary>
    public const int Unreachable = 3;

    /// <summary>A file could not be read or written; with <c>run</c>: when it was to start.</summary>
    public const int File = 4;

    /// <summary>
    /// A fault of the program itself. <c>run</c> answers it, too, when one of its parts has ended for good, whatever the reason
    /// looks like: only 2 and 4 mean that starting again would not help.
    /// </summary>
    public const int Fault = 70;

    /// <summary>Stopped by Ctrl-C or SIGTERM before it was done; a survey that a person left. <c>run</c> and <c>tail</c> without a question, which end in no other way, answer 0.</summary>
    public const int Interrupted = 130;

    internal const string Help = """
        Exit codes:
          0    done, nothing to report
          1    done, with findings to act on
          2    wrong usage or a configuration that cannot be used
          3    a controller or a broker could not be reached
          4    a file could not be read or written
          70   a fault of the program itself; of run, also that a part of it ended for good
          130  stopped by Ctrl-C or SIGTERM before it was done
        """;
}
