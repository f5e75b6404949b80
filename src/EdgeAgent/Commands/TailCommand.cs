using System.CommandLine;
using System.Globalization;
using Dancerwatch.EdgeAgent.Commands.Tailing;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Mqtt;

namespace Dancerwatch.EdgeAgent.Commands;

/// <summary><c>dancerwatch tail</c>: warnings as a person reads them, live, from a broker. Only listens.</summary>
internal static class TailCommand
{
    public static Command Create()
    {
        Option<string?> broker = new("--broker", "-b")
        {
            Description = "Broker, without TLS or password. Port 1883 where none is named.",
            HelpName = "HOST[:PORT]",
        };
        broker.Validators.Add(option =>
        {
            if (option.GetValueOrDefault<string?>() is { } text && Broker(text) is null)
                option.AddError($"'{text}' is no broker: give HOST or HOST:PORT, e.g. 192.0.2.5:1883.");
        });
        Option<string> prefix = new("--topic-prefix")
        {
            Description = "What every topic starts with; with --broker only.",
            HelpName = "PREFIX",
            DefaultValueFactory = _ => new MqttSettings { Host = "" }.TopicPrefix,
        };
        ConfigOption config = new() { Required = false };
        TailOptions options = new();
        ExampleCommand command = new(
            "tail",
            "Prints warnings as they come, in words: what, where, how long, why, what to look at.",
            "dancerwatch tail --broker 192.0.2.5\ndancerwatch tail --config config/example.jsonc --machine tea-1 --priority medium --since 2026-11-25T06:00\ndancerwatch tail --broker 192.0.2.5 --priority high --for 60 --json"
        )
        {
            broker,
            prefix,
            config,
        };
        options.AddTo(command);
        command.Validators.Add(result =>
        {
            if (result.GetResult(options.Since) is not null && result.GetResult(config) is null)
                result.AddError("--since needs --config: recordings are replayed by it.");
            if (result.GetValue(broker) is null == result.GetResult(config) is null)
                result.AddError("Name either --broker or --config: where are the warnings?");
        });
        command.SetAction(
            (parsed, cancellation) => RunAsync(new(config, broker, prefix, options), parsed, cancellation)
        );
        return command;
    }

    private static async Task<int> RunAsync(Options named, ParseResult parsed, CancellationToken cancellation)
    {
        TextWriter error = parsed.InvocationConfiguration.Error;
        TailVoice voice = named.Tail.Voice(parsed);
        MqttSettings? settings = null;
        if (parsed.GetValue(named.Broker) is { } text)
            settings = Broker(text)! with { TopicPrefix = parsed.GetRequiredValue(named.Prefix) };
        else if (
            named.Config.Load(parsed) is not { } agent
            || !IsKnown(named.Tail.Machines(parsed), agent, error)
        )
            return ExitCodes.Usage;
        else
        {
            settings = agent.Mqtt;
            if (parsed.GetValue(named.Tail.Since) is { } since)
            {
                string? recordings =
                    parsed.GetValue(named.Tail.Input) ?? agent.Recordings.Place(agent.StateDirectory);
                if (recordings is null)
                {
                    await error.WriteLineAsync(
                        "The configuration names no directory of recordings. Name one with --input."
                    );
                    return ExitCodes.Usage;
                }
                await EventHistory.TellAsync(agent, recordings, since, voice, error, cancellation);
            }
        }
        if (voice.IsDone || parsed.GetValue(named.Tail.HistoryOnly))
            return Answer(voice, isQuestion: true);
        if (settings is null)
        {
            await error.WriteLineAsync(
                "The configuration has no mqtt section, so nothing is published. Add one, use --broker, or --since with --history-only."
            );
            return ExitCodes.Usage;
        }
        bool reached = await ListenAsync(settings, voice, error, named.Tail.For(parsed), cancellation);
        return reached ? Answer(voice, named.Tail.IsQuestion(parsed)) : ExitCodes.Unreachable;
    }

    private static int Answer(TailVoice voice, bool isQuestion) =>
        isQuestion && voice.HasWarned ? ExitCodes.Findings : ExitCodes.Ok;

    private static bool IsKnown(IEnumerable<string> names, AgentSettings settings, TextWriter error)
    {
        string[] machines = [.. settings.Machines.Select(machine => machine.Name)];
        if (names.FirstOrDefault(name => !machines.Contains(name)) is not { } unknown)
            return true;
        error.WriteLine($"--machine is \"{unknown}\". Allowed: {string.Join(", ", machines)}.");
        return false;
    }

    private static MqttSettings? Broker(string text)
    {
        int colon = text.LastIndexOf(':');
        string host = colon < 0 ? text : text[..colon];
        int port = 1883;
        bool ok =
            colon < 0
            || int.TryParse(
                text.AsSpan(colon + 1),
                NumberStyles.None,
                CultureInfo.InvariantCulture,
                out port
            );
        return ok && port is > 0 and < 65_536 && Uri.CheckHostName(host) != UriHostNameType.Unknown
            ? new MqttSettings { Host = host, Port = port }
            : null;
    }

    /// <returns>False where the broker could not be reached, or does not let us listen.</returns>
    private static async Task<bool> ListenAsync(
        MqttSettings settings,
        TailVoice voice,
        TextWriter error,
        TimeSpan? limit,
        CancellationToken cancellation
    )
    {
        // A name of its own: a second client of the daemon's name would throw the daemon out.
        MqttSettings own = settings with
        {
            ClientId = $"{settings.ClientId}-tail-{Guid.NewGuid():N}",
        };
        using CancellationTokenSource end = CancellationTokenSource.CreateLinkedTokenSource(cancellation);
        if (limit is { } time)
            end.CancelAfter(time);
        TailPrinter printer = new(own, voice, error, end.Cancel);
        await new EventListener(own, printer, TimeProvider.System).RunAsync(end.Token);
        return !printer.GaveUp;
    }

    private sealed record Options(
        ConfigOption Config,
        Option<string?> Broker,
        Option<string> Prefix,
        TailOptions Tail
    );
}
