namespace Dancerwatch.Scale;

/// <summary>Measured and modelled side by side, then what larger plants would take.</summary>
internal static class GrowthTable
{
    public static void Print(TextWriter to, IReadOnlyList<Sample> samples)
    {
        Sample[] fitted = [.. samples.Where(s => Sizes.Fitted.Contains(s.Machines))];
        Growth[] all =
        [
            Growth.Fit("packets", "1/s", Driver.Controllers, fitted, s => s.Packets),
            Growth.Fit("processor", "% of a core", Driver.Machines, fitted, s => s.ProcessorPercent),
            Growth.Fit("memory", "MB", Driver.Machines, fitted, s => s.Megabytes),
            Growth.Fit("messages", "1/s", Driver.Machines, fitted, s => s.Messages),
            Growth.Fit("disk", "GB a day", Driver.Machines, fitted, s => s.DiskGigabytesPerDay),
        ];
        to.WriteLine(
            $"One daemon; {Sizes.MachinesPerController} machines on a controller, {PlantConfiguration.Signals} signals each, every 20 ms; states every second; recordings on."
        );
        to.WriteLine(
            $"Model: base + each x machines (packets: x controllers), fitted to {string.Join(", ", Sizes.Fitted)} machines."
        );
        foreach (Growth growth in all)
            to.WriteLine(
                $"  {growth.Name, -10} {growth.Base, 9:0.000} + {growth.Each, 8:0.0000} a {growth.Driver.Name}, {growth.Unit}"
            );
        to.WriteLine();
        to.WriteLine(
            "machines  connections  readings taken   "
                + string.Join("   ", all.Select(g => $"{g.Name + ", " + g.Unit, -28}"))
                + "   plant's own, % of a core"
        );
        to.WriteLine(
            "                                        "
                + string.Join("   ", all.Select(_ => "measured  modelled   error  "))
        );
        foreach (Sample sample in samples)
        {
            string isChecked = Sizes.Checked.Contains(sample.Machines) ? "*" : " ";
            to.WriteLine(
                $"{sample.Machines, 7}{isChecked}  {sample.Connections, 11}  {100 * sample.PollShare, 12:0.0} %   "
                    + string.Join("   ", all.Select(g => Cells(g, sample)))
                    + $"   {sample.PlantPercent, 6:0.0}"
            );
        }
        to.WriteLine("* not fitted: the error is the model's own.");
        to.WriteLine();
        to.WriteLine($"By the model, {Sizes.MostPerDaemon} machines to a daemon at most:");
        to.WriteLine(
            "machines  daemons  connections  "
                + string.Join("  ", all.Select(g => $"{g.Name + ", " + g.Unit, 22}"))
        );
        foreach (int machines in Sizes.Told)
        {
            int daemons = (machines + Sizes.MostPerDaemon - 1) / Sizes.MostPerDaemon;
            to.WriteLine(
                $"{machines, 8}  {daemons, 7}  {Sizes.Controllers(machines), 11}  "
                    + string.Join("  ", all.Select(g => $"{g.At(machines, daemons), 22:0.##}"))
            );
        }
    }

    private static string Cells(Growth growth, Sample sample)
    {
        double measured = growth.Of(sample);
        double modelled = growth.At(sample.Machines);
        return $"{measured, 8:0.##}  {modelled, 8:0.##}  {100 * ((modelled / measured) - 1), 5:+0;-0;0} %";
    }
}
