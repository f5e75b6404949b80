using Dancerwatch.EdgeAgent.Demo;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.EndToEnd.Tests.Demo;

/// <summary>The hand that works at a virtual machine for who tries a survey.</summary>
public sealed class SimulatedHandTests
{
    private readonly VirtualDancer _machine = new(new MachineParameters(), seed: 3);
    private readonly List<string> _said = [];
    private readonly SimulatedHand _hand;

    public SimulatedHandTests()
    {
        _hand = new SimulatedHand("tea-1", _said.Add);
        _machine.Start();
        _machine.Advance(20);
        _hand.TakeOver(_machine);
    }

    [Theory]
    [InlineData("full", 100, "tea-1: held at full.")]
    [InlineData("half", 50, "tea-1: held half way.")]
    [InlineData(" empty ", 0, "tea-1: held at empty.")]
    public void It_brings_the_dancer_where_it_is_wanted_and_says_so(string word, double fill, string said)
    {
        _hand.Tell(word);
        Pass(40);

        Assert.Equal([said], _said);
        Assert.InRange(_machine.Truth.FillPercent, fill - 0.5, fill + 0.5);
        Assert.False(_machine.Image.Running);
    }

    [Fact]
    public void Through_its_travel_it_waits_for_the_person_goes_up_in_20_s_and_comes_back()
    {
        _hand.Tell("travel");
        double ready = PassUntil(1);
        double up = PassUntil(2);
        double down = PassUntil(3);

        Assert.Contains("in 10 s it goes up", _said[0], StringComparison.Ordinal);
        Assert.Equal(["tea-1: at the stop at full.", "tea-1: back at the stop at empty."], _said[1..]);
        Assert.InRange(up - ready, SimulatedHand.ReadySeconds + 10, SimulatedHand.ReadySeconds + 21);
        Assert.InRange(down - up, 10, 22);
    }

    [Fact]
    public void The_machine_runs_and_stands_by_a_word_also_after_it_was_held()
    {
        foreach (string word in new[] { "full", "run", "stop" })
        {
            _hand.Tell(word);
            Pass(40);
        }

        Assert.Equal(["tea-1: held at full.", "tea-1: runs.", "tea-1: stands."], _said);
    }

    [Fact]
    public void A_word_it_does_not_know_is_told_with_those_it_does()
    {
        _hand.Tell("fill");

        Assert.Equal(
            "\"fill\" is no word the hand knows. Allowed: full, half, empty, travel, run, stop. Try full.",
            Assert.Single(_said)
        );
    }

    private void Pass(double seconds)
    {
        for (double end = _machine.TimeSeconds + seconds; _machine.TimeSeconds < end; )
        {
            _hand.Act();
            _machine.Advance(0.01);
        }
    }

    /// <returns>When so much had been said.</returns>
    private double PassUntil(int said)
    {
        while (_said.Count < said)
        {
            Assert.InRange(_machine.TimeSeconds, 0, 200);
            Pass(0.01);
        }
        return _machine.TimeSeconds;
    }
}
