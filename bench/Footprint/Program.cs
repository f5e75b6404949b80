using System.Globalization;
using Dancerwatch.Footprint;

// Footprint PROGRAM CONFIG [SECONDS]: what the native program takes, against what it is built to take.
if (args.Length < 2)
{
    Console.Error.WriteLine("Usage: Footprint PROGRAM config/tea-hall.jsonc [SECONDS]");
    return 2;
}
(string program, string teaHall) = (args[0], args[1]);
int seconds = args.Length > 2 ? int.Parse(args[2], CultureInfo.InvariantCulture) : 60;
const int starts = 5;
const double megabyte = 1e6;
TimeProvider time = TimeProvider.System;

List<double> firstReadings = [];
for (int i = 0; i < starts; i++)
{
    await using EightMachines hall = new();
    using AgentRun agent = new(program, hall.WriteConfiguration(teaHall));
    while (hall.TagsRead.Any(read => read == 0) && !agent.HasEnded)
        await Task.Yield();
    firstReadings.Add(time.GetElapsedTime(agent.Started).TotalMilliseconds);
    await agent.StopAsync();
}
firstReadings.Sort();

(long memory, long peak, int listening, double processor) = await RunAsync(overTls: false);
(long memoryOverTls, long peakOverTls, _, double processorOverTls) = await RunAsync(overTls: true);

bool ok = true;
Console.WriteLine(
    $"Eight machines, 14 tags each, every 20 ms, from two controllers; a broker; {seconds} s each way."
);
Row("program, MB", new FileInfo(program).Length / megabyte, 20);
Row($"first reading of every machine after start, ms (median of {starts})", firstReadings[starts / 2], 150);
Row($"                                                (slowest of {starts})", firstReadings[^1], 150);
Row("memory (RSS) at the end, MB", memory / megabyte, 40);
Row("the same over TLS with a client certificate", memoryOverTls / megabyte, 40);
Note("at its most: for the first second, and for moments when recordings are made", peak / megabyte);
Note("the same over TLS", peakOverTls / megabyte);
Row("listening sockets", listening, 0);
Note("of one core, %", processor);
Note("the same over TLS", processorOverTls);
return ok ? 0 : 1;

async Task<(long Memory, long Peak, int Listening, double Processor)> RunAsync(bool overTls)
{
    await using EightMachines machines = new();
    using AgentRun run = new(program, machines.WriteConfiguration(teaHall, overTls));
    await Task.Delay(TimeSpan.FromSeconds(seconds), time);
    double share = 100 * run.ProcessorTime.TotalSeconds / time.GetElapsedTime(run.Started).TotalSeconds;
    var measured = (run.Memory, run.MemoryPeak, run.ListeningSockets, share);
    await run.StopAsync();
    if (machines.BrokerClients != 1)
        throw new InvalidOperationException("The agent did not reach the broker: these are no numbers.");
    return measured;
}

void Note(string what, double value) =>
    Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{what, -68} {value, 7:0.#}"));

void Row(string what, double value, double most)
{
    ok &= value <= most;
    string verdict = value <= most ? "" : "   MISSED";
    Console.WriteLine(
        string.Create(CultureInfo.InvariantCulture, $"{what, -68} {value, 7:0.#}   at most {most}{verdict}")
    );
}
