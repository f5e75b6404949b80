using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Controllers.Recorded;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Roll;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.EdgeAgent.Configuration;

/// <summary>One machine of the configuration: its place, its tags and its numbers. Its dancer is <see cref="DancerShape"/>'s, its warnings are <see cref="WarningsShape"/>'s.</summary>
internal static class MachineShape
{
    /// <summary>Wider than any counts or scale a controller gives; keeps typing slips such as 1e30 out.</summary>
    public const double Huge = 1e9;

    private static readonly RollSettings s_roll = new();
    private static readonly string[] s_types =
    [
        .. Enum.GetValues<TagType>().Select(type => type.ToString().ToUpperInvariant()),
    ];

    public static WatchedMachineSettings Read(Section s, IReadOnlyList<ControllerSettings> controllers)
    {
        s.OptionalText(
            TemplateSet.TemplateKey,
            "Name of the template that has what is not given here. What is given here wins, key by key; null takes a key out.",
            TextRule.Any
        );
        s.Words(TemplateSet.WordsKey, "What words in braces stand for in the template's texts.");
        string controllerName = s.Text("controller", "Name of its controller.", TextRule.TopicWord);
        ControllerSettings? controller = controllers.FirstOrDefault(c => c.Name == controllerName);
        if (controller is null && controllerName.Length > 0 && controllers.Count > 0)
        {
            string[] names = [.. controllers.Select(c => c.Name)];
            string nearest = NearestWord.Of(controllerName, names) ?? names[0];
            s.Refuse(
                "controller",
                $"a name from controllers: {string.Join(", ", names)}",
                $"Try \"{nearest}\"."
            );
        }
        bool isRunKnown = false;
        RollSettings roll = s.OrEmpty("roll", "The roll of film.", Roll);
        return new WatchedMachineSettings
        {
            Name = s.Text("name", "Name of the machine; a level of its topics.", TextRule.TopicWord),
            Line = s.Text("line", "Line it belongs to; a level of its topics.", TextRule.TopicWord),
            Controller = controllerName,
            Signals = s.Inner(
                "signals",
                "Where each signal is read. gap and unwindSpeed are required; each further one sharpens causes.",
                inner =>
                {
                    List<SignalSource> sources = Sources(inner);
                    isRunKnown = sources.Exists(source =>
                        source.Signal is Signal.Running or Signal.LineSpeed
                    );
                    return sources;
                }
            ),
            Columns = s.OrEmpty(
                "columns",
                "Column of each signal in a CSV trace, for replay; a signal not named here is looked for under its own name.",
                Columns
            ),
            Machine = new MachineSettings
            {
                Fill = s.Inner("dancer", "The dancer: sensor, set points and trips.", DancerShape.Read),
                Roll = roll with
                {
                    MaximumUnwindMetersPerMinute = s.OrEmpty(
                        "unwind",
                        "The driven unwind.",
                        MaximumUnwindSpeed
                    ),
                },
                Warnings = s.OrEmpty(
                    "warnings",
                    "When to warn; what is left out keeps its usual value.",
                    inner => WarningsShape.Read(inner, WarningSettings.UsualSensitivity(isRunKnown))
                ),
                PollSeconds = (controller?.PollMilliseconds ?? 20) / 1000.0,
            },
        };
    }

    private static List<SignalSource> Sources(Section s)
    {
        List<SignalSource> sources = [];
        foreach (Signal signal in Enum.GetValues<Signal>())
        {
            SignalSource? source = signal is Signal.Gap or Signal.UnwindSpeed
                ? s.Inner(signal.Code(), signal.Meaning(), inner => Source(inner, signal))
                : s.Optional(signal.Code(), signal.Meaning(), inner => Source(inner, signal));
            if (source is not null)
                sources.Add(source);
        }
        return sources;
    }

    private static SignalSource Source(Section s, Signal signal)
    {
        string tag = s.Text("tag", "Symbolic name of the tag.", TextRule.TagName);
        string typeName = s.Choice("type", "Data type the tag must have; another is refused.", s_types);
        double scale = s.Number("scale", "Signal = tag * scale + offset. A bit is 0 or 1.", -Huge, Huge, 1);
        double offset = s.Number(
            "offset",
            "Signal = tag * scale + offset, in the signal's unit.",
            -Huge,
            Huge,
            0
        );
        TagType type = Enum.Parse<TagType>(typeName, ignoreCase: true);
        if (scale == 0)
            s.Refuse("scale", "not 0, for then every value would be the offset", "Try 1.");
        if (type == TagType.String && signal != Signal.Product)
            s.Refuse("type", "a number or a bit; only product may be a STRING", "Read a numeric tag.");
        string last = tag[(tag.LastIndexOf('.') + 1)..];
        bool isBit = last.Length > 0 && char.IsAsciiDigit(last[0]);
        if (isBit && type != TagType.Bool)
            s.Refuse("type", "BOOL, for the tag's name ends in a bit number", "Try \"BOOL\".");
        return new SignalSource(signal, new TagRequest(tag, type), scale, offset);
    }

    private static Dictionary<Signal, string> Columns(Section s)
    {
        Dictionary<Signal, string> columns = [];
        foreach (Signal signal in Enum.GetValues<Signal>())
        {
            if (s.OptionalText(signal.Code(), $"Column of {signal.Code()}.", TextRule.Any) is { } column)
                columns.Add(signal, column);
        }
        HashSet<string> taken = [.. TraceColumns.Reserved];
        foreach (Signal signal in Enum.GetValues<Signal>().OrderBy(columns.ContainsKey))
        {
            string column = columns.GetValueOrDefault(signal, signal.Code());
            if (!taken.Add(column))
                s.Refuse(
                    signal.Code(),
                    $"a column of its own, and none of {string.Join(", ", TraceColumns.Reserved)}",
                    "Name the column the signal really stands in."
                );
        }
        return columns;
    }

    private static RollSettings Roll(Section s)
    {
        RollSettings roll = new()
        {
            CoreDiameterMillimeters = s.Number(
                "coreDiameterMillimeters",
                "Outer diameter of the core, mm.",
                10,
                1_000,
                s_roll.CoreDiameterMillimeters
            ),
            FullDiameterMillimeters = s.Number(
                "fullDiameterMillimeters",
                "Diameter of a fresh roll, mm.",
                10,
                3_000,
                s_roll.FullDiameterMillimeters
            ),
            FilmThicknessMicrometers = s.Number(
                "filmThicknessMicrometers",
                "Film thickness, micrometers.",
                1,
                5_000,
                s_roll.FilmThicknessMicrometers
            ),
        };
        if (roll.FullDiameterMillimeters <= roll.CoreDiameterMillimeters)
        {
            s.Refuse(
                "fullDiameterMillimeters",
                $"above coreDiameterMillimeters ({roll.CoreDiameterMillimeters})",
                "Measure both as diameters, in mm."
            );
        }
        return roll;
    }

    private static double MaximumUnwindSpeed(Section s) =>
        s.Number(
            "maximumMetersPerMinute",
            "Fastest the unwind can go, m/min.",
            0.1,
            5_000,
            s_roll.MaximumUnwindMetersPerMinute
        );
}
