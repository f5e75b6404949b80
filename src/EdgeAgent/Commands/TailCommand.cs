using System.CommandLine;
using System.Globalization;
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
        ExampleCommand command = new(
            "tail",
            "Prints warnings as they come, in words: what, where, how long, why, what to look at.",
            "dancerwatch tail --broker 192.0.2.5\ndancerwatch tail --config config/example.jsonc"
        )
        {
            broker,
            prefix,
            config,
        };
        command.Validators.Add(result =>
        {
            if (result.GetValue(broker) is null == result.GetResult(config) is null)
                result.AddError("Name either --broker or --config: where are the warnings?");
        });
        command.SetAction(
            async (parsed, cancellation) =>
            {
                MqttSettings? settings = parsed.GetValue(broker) is { } named
                    ? Broker(named)! with
                    {
                        TopicPrefix = parsed.GetRequiredValue(prefix),
                    }
                    : Configured(config, parsed);
                return settings is null
                    ? ExitCodes.Usage
                    : await TailAsync(settings, parsed.InvocationConfiguration, cancellation);
            }
        );
        return command;
    }

    private static MqttSettings? Configured(ConfigOption config, ParseResult parsed)
    {
        if (config.Load(parsed) is not { } settings)
            return null;
        if (settings.Mqtt is null)
            parsed.InvocationConfiguration.Error.WriteLine(
                "The configuration has no mqtt section, so nothing is published. Add one, or use --broker."
            );
        return settings.Mqtt;
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

    private static async Task<int> TailAsync(
        MqttSettings settings,
        InvocationConfiguration console,
        CancellationToken cancellation
    )
    {
        // A name of its own: a second client of the daemon's name would throw the daemon out.
        MqttSettings own = settings with
        {
            ClientId = $"{settings.ClientId}-tail-{Guid.NewGuid():N}",
        };
        using CancellationTokenSource giveUp = CancellationTokenSource.CreateLinkedTokenSource(cancellation);
        TailPrinter printer = new(own, console.Output, console.Error, giveUp.Cancel);
        await new EventListener(own, printer, TimeProvider.System).RunAsync(giveUp.Token);
        return printer.GaveUp ? ExitCodes.Unreachable : ExitCodes.Ok;
    }
}
