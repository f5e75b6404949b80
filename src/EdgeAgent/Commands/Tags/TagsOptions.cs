using System.CommandLine;
using Dancerwatch.EdgeAgent.Configuration;

namespace Dancerwatch.EdgeAgent.Commands.Tags;

/// <summary>Options of <c>dancerwatch tags</c>: where the controller is, and what a first configuration of it says.</summary>
internal sealed class TagsOptions
{
    // Reads of many tags at once take longer than a poll of a machine's few.
    private const int TimeoutMilliseconds = 2_000;
    private const int PollMilliseconds = 50;

    public Option<string> Host { get; } =
        new("--host")
        {
            Description = "The controller's address.",
            HelpName = "HOST",
            Required = true,
        };

    public Option<int> Port { get; } =
        new("--port") { Description = "Its TCP port.", DefaultValueFactory = _ => 44_818 };

    public Option<string> Route { get; } =
        new("--route")
        {
            Description =
                "From there to the processor: pairs of port and link, 1,0 for slot 0; empty for none.",
            DefaultValueFactory = _ => "1,0",
        };

    public Option<bool> List { get; } =
        new("--list") { Description = "Only list what the controller has; read no value." };

    public Option<double> Seconds { get; } =
        new("--seconds")
        {
            Description = "How long tags are watched, s. While the machines run, values tell more.",
            DefaultValueFactory = _ => 3,
        };

    public Option<string> Output { get; } =
        new("--output") { Description = "File to write a first configuration to.", HelpName = "FILE" };

    public Option<bool> Replace { get; } =
        new("--replace") { Description = "Write it though the file is there." };

    public Option<double?> GapAtEmpty { get; } =
        new("--gap-at-empty")
        {
            Description = "Taught gap when empty, counts, of machines whose tags do not give it.",
        };

    public Option<double?> GapAtFull { get; } =
        new("--gap-at-full") { Description = "Taught gap when full, counts, likewise." };

    private Option<string> Site { get; } =
        new("--site") { Description = "Plant or site, for the topics.", DefaultValueFactory = _ => "site-1" };

    private Option<string> Area { get; } =
        new("--area") { Description = "Area or hall, for the topics.", DefaultValueFactory = _ => "hall-1" };

    private Option<string> Line { get; } =
        new("--line")
        {
            Description = "Line of the machines, for the topics.",
            DefaultValueFactory = _ => "line-1",
        };

    private Option<string> Name { get; } =
        new("--name")
        {
            Description = "What the controller is called.",
            DefaultValueFactory = _ => "controller-1",
        };

    public TagsOptions()
    {
        Check(Host, TextRule.Host);
        Check(Route, TextRule.Route);
        foreach (Option<string> word in new[] { Site, Area, Line, Name })
            Check(word, TextRule.TopicWord);
        Check(Port, value => value is >= 1 and <= 65_535, "a whole number from 1 to 65535. Try 44818.");
        Check(Seconds, value => value is >= 0 and <= 600, "a number from 0 to 600. Try 3.");
        foreach (Option<double?> gap in new[] { GapAtEmpty, GapAtFull })
            Check(gap, value => value is null or >= 0 and <= 65_535, "a number from 0 to 65535.");
    }

    public IEnumerable<Option> All =>
        [Host, Port, Route, List, Seconds, Output, Replace, GapAtEmpty, GapAtFull, Site, Area, Line, Name];

    public ControllerSettings Controller(ParseResult parsed) =>
        new()
        {
            Name = parsed.GetValue(Name)!,
            Host = parsed.GetRequiredValue(Host),
            Port = parsed.GetValue(Port),
            Route = parsed.GetValue(Route)!,
            TimeoutMilliseconds = TimeoutMilliseconds,
            PollMilliseconds = PollMilliseconds,
        };

    public Discovery.FirstPlace Place(ParseResult parsed) =>
        new(
            parsed.GetValue(Site)!,
            parsed.GetValue(Area)!,
            parsed.GetValue(Line)!,
            parsed.GetValue(GapAtEmpty),
            parsed.GetValue(GapAtFull)
        );

    private static void Check(Option<string> option, TextRule rule) =>
        option.Validators.Add(result =>
        {
            if (!rule.Fits(result.GetValueOrDefault<string>() ?? ""))
                result.AddError($"{option.Name} must be {rule.Allowed}. {rule.Try}");
        });

    private static void Check<T>(Option<T> option, Predicate<T?> fits, string allowed) =>
        option.Validators.Add(result =>
        {
            if (!fits(result.GetValueOrDefault<T>()))
                result.AddError($"{option.Name} must be {allowed}");
        });
}
