using System.Globalization;
using Dancerwatch.Bench.Speed;
using Dancerwatch.Bench.Speed.Concepts;

// Speed [reading|growth|replay|concepts|scipy]: what a reading costs, how that grows, how fast history goes through, and each
// concept beside the obvious alternative; all parts without a word. Speed month: a month replayed. bench/README.md says how to read it.
CultureInfo.CurrentCulture = CultureInfo.InvariantCulture;
if (args is ["csv", var path])
{
    WholeProcess.Csv(path);
    return;
}
if (args is ["month"])
{
    await Replay.MonthAsync();
    return;
}
string part = args.Length > 0 ? args[0] : "";
if (part is "" or "reading")
    WholeReading.Run();
if (part is "" or "growth")
    Growth.Run();
if (part is "" or "replay")
    await Replay.RunAsync();
if (part is "" or "concepts")
    ConceptTable.Run();
if (part is "" or "scipy")
    await WholeProcess.RunAsync();
