using System.Text;
using Dancerwatch.EdgeAgent.Configuration;

namespace Dancerwatch.EdgeAgent.Discovery;

/// <summary>What a person may say of a hall, for its first configuration.</summary>
/// <param name="GapAtEmpty">Set point of machines whose tags give none, counts; null for not known.</param>
/// <param name="GapAtFull">The same, when full.</param>
internal sealed record FirstPlace(
    string Site,
    string Area,
    string Line,
    double? GapAtEmpty,
    double? GapAtFull
);

/// <summary>A first configuration, written from a proposal: machines that are alike share a template, reasons stand in comments.</summary>
internal sealed class FirstConfiguration
{
    private readonly StringBuilder _text = new();
    private readonly ControllerSettings _controller;
    private readonly FirstPlace _place;

    private FirstConfiguration(ControllerSettings controller, FirstPlace place) =>
        (_controller, _place) = (controller, place);

    /// <summary>All machines that are proposed.</summary>
    public required IReadOnlyList<FirstMachine> Machines { get; init; }

    /// <summary>Machines it watches.</summary>
    public IReadOnlyList<FirstMachine> Watched =>
        [.. Machines.Where(machine => machine.SetPoints is not null)];

    /// <summary>Machines that stand in it as comments, for their set points are not known.</summary>
    public IReadOnlyList<FirstMachine> Unfinished =>
        [.. Machines.Where(machine => machine.SetPoints is null)];

    /// <summary>The file.</summary>
    public string Text => _text.ToString();

    public static FirstConfiguration Of(
        ControllerProposal proposal,
        ControllerSettings controller,
        FirstPlace place
    )
    {
        FirstConfiguration first = new(controller, place)
        {
            Machines =
            [
                .. proposal.Machines.Select(machine => new FirstMachine(
                    machine,
                    place.GapAtEmpty,
                    place.GapAtFull
                )),
            ],
        };
        first.Write(proposal.Remarks);
        return first;
    }

    private void Write(IReadOnlyList<string> remarks)
    {
        Line(
            0,
            "// A first configuration, written from what the controller lists and held. Read it through: each tag has the"
        );
        Line(
            0,
            "// reason behind it. Then: dancerwatch check, and dancerwatch run. All keys: config/example.jsonc."
        );
        Line(0, "{");
        Line(1, "// Levels of every topic. Events are published once there is an \"mqtt\" section.");
        Line(1, $"\"site\": \"{_place.Site}\",");
        Line(1, $"\"area\": \"{_place.Area}\",");
        string driver = _controller.Driver == "ethernet-ip" ? "" : $"\"driver\": \"{_controller.Driver}\", ";
        Line(
            1,
            $"\"controllers\": [{{ \"name\": \"{_controller.Name}\", {driver}\"host\": \"{_controller.Host}\", \"port\": {_controller.Port}, \"route\": \"{_controller.Route}\" }}],"
        );
        IGrouping<string, FirstMachine>[] alike =
        [
            .. Watched
                .Where(machine => machine.Own is not null)
                .GroupBy(machine => machine.Signature)
                .Where(group => group.Count() > 1),
        ];
        Dictionary<FirstMachine, (string Template, string Dancer)> made = [];
        if (alike.Length > 0)
            Line(1, "\"templates\": {");
        foreach (IGrouping<string, FirstMachine> group in alike)
            WriteTemplate(group, made);
        if (alike.Length > 0)
            Line(1, "},");
        Line(1, "\"machines\": [");
        foreach (FirstMachine machine in Watched)
            WriteMachine(machine, made);
        foreach (FirstMachine machine in Unfinished)
            WriteUnfinished(machine);
        foreach (string remark in remarks)
            Line(2, $"// {remark}");
        Line(1, "],");
        Line(0, "}");
    }

    private void WriteTemplate(
        IGrouping<string, FirstMachine> group,
        Dictionary<FirstMachine, (string, string)> made
    )
    {
        FirstMachine first = group.First();
        string name = $"{first.Name.TrimEnd('0', '1', '2', '3', '4', '5', '6', '7', '8', '9').TrimEnd('-')}";
        name = name.Length > 0 ? name : "machine";
        for (int i = 2; made.Values.Any(template => template.Item1 == name); i++)
            name = $"{name}-{i}";
        // What most have in common; the others say their own.
        string dancer = group.CountBy(machine => machine.DancerLine()).MaxBy(pair => pair.Value).Key;
        Line(2, $"// {group.Count()} machines, as {first.Name} was seen.");
        Line(2, $"\"{name}\": {{");
        WriteBody(3, first, dancer, asPattern: true);
        Line(2, "},");
        foreach (FirstMachine machine in group)
            made.Add(machine, (name, dancer));
    }

    private void WriteMachine(FirstMachine machine, Dictionary<FirstMachine, (string, string)> made)
    {
        if (!made.TryGetValue(machine, out (string Template, string Dancer) of))
        {
            Line(2, "{");
            Line(3, $"\"name\": \"{machine.Name}\",");
            WriteBody(3, machine, machine.DancerLine(), asPattern: false);
            Line(2, "},");
            return;
        }
        string own = machine.DancerLine() == of.Dancer ? "" : $", {machine.DancerLine().TrimEnd(',')}";
        Line(
            2,
            $"{{ \"name\": \"{machine.Name}\", \"template\": \"{of.Template}\", \"with\": {{ \"{TagPattern.Word}\": \"{machine.Own}\" }}{own} }},"
        );
    }

    private void WriteUnfinished(FirstMachine machine)
    {
        Line(
            2,
            "// Not watched yet: put in the two taught set points, and take the slashes away. 'dancerwatch survey take' finds"
        );
        Line(2, "// them with the dancer in your hand, and the machine's panel may show them.");
        int begun = _text.Length;
        Line(2, "{");
        Line(3, $"\"name\": \"{machine.Name}\",");
        WriteBody(3, machine, machine.DancerLine(), asPattern: false);
        Line(2, "},");
        _text.Replace("\n    ", "\n    // ", begun, _text.Length - begun);
        _text.Insert(begun + 4, "// ");
    }

    private void WriteBody(int depth, FirstMachine machine, string dancer, bool asPattern)
    {
        Line(depth, $"\"line\": \"{_place.Line}\",");
        Line(depth, $"\"controller\": \"{_controller.Name}\",");
        foreach (string line in machine.SignalLines(asPattern))
            Line(depth, line);
        Line(depth, dancer);
    }

    private void Line(int depth, string line) => _text.Append(' ', 2 * depth).Append(line).Append('\n');
}
