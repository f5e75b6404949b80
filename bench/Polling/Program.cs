using System.Diagnostics;
using System.Globalization;
using Dancerwatch.Polling;

// Polling [fastest|paced|growth|latency]: what polls cost and how late they start, over EtherNet/IP on loopback sockets; all
// parts without a word, in about five minutes. `serve` is the process of the virtual controllers.
CultureInfo.CurrentCulture = CultureInfo.InvariantCulture;
Dictionary<string, Func<Task>> parts = new()
{
    ["fastest"] = Fastest.RunAsync,
    ["paced"] = Paced.RunAsync,
    ["growth"] = Growth.RunAsync,
    ["latency"] = Latency.RunAsync,
};
switch (args)
{
    case []:
        // Each in a process of its own: none runs in what another left behind.
        foreach (string part in parts.Keys)
        {
            using Process process = Process.Start(Environment.ProcessPath!, [part]);
            await process.WaitForExitAsync();
            if (process.ExitCode != 0)
                return process.ExitCode;
        }
        return 0;
    case ["serve", string controllers, string tags, string how, string processors]:
        await ControllerProcess.ServeAsync(
            int.Parse(controllers),
            int.Parse(tags),
            how == "restless",
            nint.Parse(processors)
        );
        return 0;
    case [string name] when parts.TryGetValue(name, out Func<Task>? part):
        // The last has more processes than these two, as on a computer in a hall.
        if (name != "latency")
            Processors.Take(Processors.Others);
        await part();
        return 0;
    default:
        Console.Error.WriteLine($"Usage: Polling [{string.Join('|', parts.Keys)}]");
        return 2;
}
