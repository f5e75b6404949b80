using System.Collections.Concurrent;
using System.Diagnostics;
using System.Text.Json;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Hosting;
using Dancerwatch.EdgeAgent.Telemetry;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Readings;
using Microsoft.Extensions.Logging.Abstractions;
using MQTTnet;
using MQTTnet.Protocol;

namespace Dancerwatch.Polling;

/// <summary>
/// From a controller to a subscriber: 64 machines whose gap is lost and found again, each of which is an event that goes by a
/// broker, while the retained states of all go too. Counted from the reading that decided, as the daemon's own traces have it,
/// to when the subscriber, a program that is not ours, had the message.
/// </summary>
internal static class Latency
{
    private const int Controllers = 16;
    private const int MachinesEach = 4;
    private static readonly TimeSpan s_warmUp = TimeSpan.FromSeconds(3);
    private static readonly TimeSpan s_run = TimeSpan.FromSeconds(15);

    public static async Task RunAsync()
    {
        Console.WriteLine("64 machines, from the controller to a subscriber through mosquitto");
        if (await BareAsync() is not { } bare)
        {
            Console.WriteLine("  skipped: mosquitto or mosquitto_sub is not installed");
            return;
        }
        Console.WriteLine($"  a message alone, published to received   {bare}");
        Percentiles quick = await EventsAsync(true, null, "the broker sends at once");
        await EventsAsync(false, null, "the broker waits as TCP does, its default");
        string folder = Directory.CreateTempSubdirectory("dancerwatch-latency-").FullName;
        await EventsAsync(true, folder, "the broker sends at once, events are flushed to disk first");
        Directory.Delete(folder, recursive: true);
        Row.Print(
            "reading to subscriber p50, beside a message alone",
            "<= 1 ms",
            quick.Milliseconds(0.5),
            bare.Milliseconds(0.5)
        );
        Row.Print(
            "reading to subscriber p99, beside a message alone",
            "<= 5 ms",
            quick.Milliseconds(0.99),
            bare.Milliseconds(0.99)
        );
    }

    private static async Task<Percentiles> EventsAsync(bool sendsAtOnce, string? stateDirectory, string what)
    {
        await using Mosquitto mosquitto = (await Mosquitto.StartAsync(sendsAtOnce))!;
        await using ControllerProcess process = new(Controllers, 2 * MachinesEach, restless: true);
        ConcurrentDictionary<string, (DateTime Asked, DateTime Answered)> sent = new();
        using ActivityListener traces = Traces(sent);
        ActivitySource.AddActivityListener(traces);
        using CancellationTokenSource stop = new();
        await using Agent agent = new(
            Settings(process, mosquitto.Port, stateDirectory),
            TimeProvider.System,
            NullLoggerFactory.Instance
        );
        Task running = agent.RunAsync(stop.Token);
        await Task.Delay(s_warmUp);
        sent.Clear();
        Cost cost = await Cost.OfAsync(process, () => Task.Delay(s_run));
        KeyValuePair<string, (DateTime Asked, DateTime Answered)>[] whole = [.. sent];
        await stop.CancelAsync();
        await running;

        Percentiles[] taken = [new(whole.Length), new(whole.Length), new(whole.Length)];
        foreach ((string id, (DateTime asked, DateTime answered)) in whole)
        {
            if (!mosquitto.Received.TryGetValue(id, out DateTime received))
                throw new InvalidOperationException($"Event {id} never came: these are no numbers.");
            taken[0].Add((received - asked).Ticks);
            // A reading bears the time halfway between.
            taken[1].Add((received - asked - ((answered - asked) / 2)).Ticks);
            taken[2].Add((received - answered).Ticks);
        }
        Console.WriteLine($"  {what}: {whole.Length} events, client {cost.ClientPercent:0.0} % of one core");
        Console.WriteLine($"    controller asked to received     {taken[0]}");
        Console.WriteLine($"    reading's time to received       {taken[1]}");
        Console.WriteLine($"    controller answered to received  {taken[2]}");
        return taken[1];
    }

    /// <summary>Where each event's poll began and ended: begun as a whole, and its wait in the outbox begins when the answer is there.</summary>
    private static ActivityListener Traces(
        ConcurrentDictionary<string, (DateTime Asked, DateTime Answered)> sent
    )
    {
        ConcurrentDictionary<ActivityTraceId, DateTime> answered = new();
        return new ActivityListener
        {
            ShouldListenTo = source => source.Name == AgentTelemetry.Name,
            Sample = (ref _) => ActivitySamplingResult.AllDataAndRecorded,
            ActivityStopped = activity =>
            {
                if (activity.OperationName == AgentTraces.OutboxActivity)
                    answered[activity.TraceId] = activity.StartTimeUtc;
                if (
                    activity.OperationName == AgentTraces.EventActivity
                    && activity.GetTagItem("event.id") is string id
                    && answered.TryRemove(activity.TraceId, out DateTime when)
                )
                    sent[id] = (activity.StartTimeUtc, when);
            },
        };
    }

    /// <summary>What the broker and its subscriber take by themselves: a message of an event's size, one at a time.</summary>
    private static async Task<Percentiles?> BareAsync()
    {
        await using Mosquitto? mosquitto = await Mosquitto.StartAsync(sendsAtOnce: true);
        if (mosquitto is null)
            return null;
        const int messages = 250;
        TimeProvider time = TimeProvider.System;
        using IMqttClient client = new MqttClientFactory().CreateMqttClient();
        MqttClientOptions options = new MqttClientOptionsBuilder()
            .WithTcpServer("127.0.0.1", mosquitto.Port)
            .Build();
        await client.ConnectAsync(options);
        Dictionary<string, DateTime> sent = [];
        string filler = new('e', 1_100);
        for (int i = 0; i < messages; i++)
        {
            string id = $"bare-{i}";
            byte[] payload = JsonSerializer.SerializeToUtf8Bytes(new { id, filler });
            MqttApplicationMessage message = new MqttApplicationMessageBuilder()
                .WithTopic("bare/v1/leafside/tea-hall/line-1/tea-1/event")
                .WithPayload(payload)
                .WithQualityOfServiceLevel(MqttQualityOfServiceLevel.AtLeastOnce)
                .Build();
            sent[id] = time.GetUtcNow().UtcDateTime;
            await client.PublishAsync(message);
            await Task.Delay(TimeSpan.FromMilliseconds(20));
        }
        Percentiles taken = new(messages);
        foreach ((string id, DateTime when) in sent.Where(one => mosquitto.Received.ContainsKey(one.Key)))
            taken.Add((mosquitto.Received[id] - when).Ticks);
        await client.DisconnectAsync();
        return taken;
    }

    private static AgentSettings Settings(ControllerProcess process, int port, string? stateDirectory) =>
        new()
        {
            Site = "leafside",
            Area = "tea-hall",
            StateDirectory = stateDirectory,
            Mqtt = new MqttSettings { Host = "127.0.0.1", Port = port },
            Controllers = [.. Enumerable.Range(0, Controllers).Select(process.Settings)],
            Machines =
            [
                .. Enumerable
                    .Range(0, Controllers * MachinesEach)
                    .Select(i => Machine(process, i / MachinesEach, i % MachinesEach)),
            ],
        };

    private static WatchedMachineSettings Machine(ControllerProcess process, int controller, int place) =>
        new()
        {
            Name = $"tea-{(controller * MachinesEach) + place + 1}",
            Line = "line-1",
            Controller = $"packing-{controller}",
            Signals =
            [
                new SignalSource(Signal.Gap, process.Tags[2 * place]),
                new SignalSource(Signal.UnwindSpeed, process.Tags[(2 * place) + 1]),
            ],
            Machine = new MachineSettings
            {
                Fill = new FillSettings { GapAtEmpty = 600, GapAtFull = 3_500 },
                Warnings = new() { DataLost = new(0, 0, 0.1, 0) },
            },
        };
}
