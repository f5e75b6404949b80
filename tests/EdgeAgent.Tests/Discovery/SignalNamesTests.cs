using Dancerwatch.EdgeAgent.Discovery;
using Dancerwatch.Signals;

namespace Dancerwatch.EdgeAgent.Tests.Discovery;

/// <summary>Names as programmers of different plants give them (common practice, no source).</summary>
public sealed class SignalNamesTests
{
    [Theory]
    [InlineData("Tea1.DancerGap", "tea 1 dancer gap")]
    [InlineData("TEA_01_UW_SPD_ACT", "tea 1 uw spd act")]
    [InlineData("Program:Packing2.UnwSpd_mps", "program packing 2 unw spd mps")]
    [InlineData("UWSpeedRef3", "uw speed ref 3")]
    [InlineData("DNCPOS", "dnc pos")]
    [InlineData("dancerposition", "dancer position")]
    [InlineData("Lines[4].Dancer.PosAI", "lines 4 dancer pos ai")]
    [InlineData("HopperLevel", "hopper level")]
    public void A_name_is_taken_into_words(string name, string words) =>
        Assert.Equal(words, string.Join(' ', NameWords.Of(name).Select(word => word.Text)));

    [Theory]
    [InlineData("Tea1.DancerGap", "gap")]
    [InlineData("TEA2_DNC_POS_AI", "gap")]
    [InlineData("Tee5_TaenzerLage", "gap")]
    [InlineData("Line1.Dancer.Position", "gap")]
    [InlineData("Line1.Unwind.Speed", "unwindSpeed")]
    [InlineData("Line1_UnwindSpeed", "unwindSpeed")]
    [InlineData("Dancer1.UnwindSpeed", "unwindSpeed")]
    [InlineData("TEA2_UW_SPD_ACT", "unwindSpeed")]
    [InlineData("Tee5_AbwicklerGeschw", "unwindSpeed")]
    [InlineData("TEA2_UW_SPD_REF", "unwindCommand")]
    [InlineData("Tea1.Unwind.SpeedSetpoint", "unwindCommand")]
    [InlineData("MachineSpeed_4", "lineSpeed")]
    [InlineData("BagRate_4", "cycleRate")]
    [InlineData("TEA2_MACH_BPM", "cycleRate")]
    [InlineData("TEA2_RUN", "running")]
    [InlineData("Tea1.DancerSetpoint", "targetFill")]
    [InlineData("DancerFullTaught", "gapAtFull")]
    [InlineData("GapAtEmpty", "gapAtEmpty")]
    [InlineData("Tea1.DancerFullFault", "fullSideTrip")]
    [InlineData("EMPTY_SIDE_TRIP", "emptySideTrip")]
    [InlineData("Tea1.BrakeReleased", "brakeOn")]
    [InlineData("BRK_PRESS_BAR", "brakePressure")]
    [InlineData("UnwindRollDia", "rollDiameter")]
    [InlineData("WebEdgePos", "edgePosition")]
    [InlineData("ActiveRecipeNo", "product")]
    public void A_name_that_says_it_is_taken_for_its_signal_and_no_other(string name, string signal) =>
        Assert.Equal([signal], Strong(name));

    [Theory]
    [InlineData("DancerPosFiltered", "gap")]
    [InlineData("FilmSpeed", "unwindSpeed", "lineSpeed")]
    [InlineData("UnwindRef", "unwindCommand")]
    [InlineData("Brake", "brakeOn")]
    [InlineData("Gap", "gap")]
    public void A_name_that_may_say_it_is_weak(string name, params string[] signals)
    {
        Assert.Empty(Strong(name));
        Assert.Equal(signals, SignalNames.Of(name, NameWords.Of(name)).Select(found => found.Signal.Code()));
    }

    [Theory]
    [InlineData("DancerHighAlarm")]
    [InlineData("UnwindSpeedTimer")]
    [InlineData("HMI_DancerPos")]
    [InlineData("UnwindSpeedMax")]
    [InlineData("ProductCount")]
    [InlineData("DancerKp")]
    [InlineData("RollDiameterMin")]
    [InlineData("JawTemperature")]
    [InlineData("Unwind.LineSpeedEnable")]
    public void A_name_of_something_beside_it_is_taken_for_nothing(string name) =>
        Assert.Empty(SignalNames.Of(name, NameWords.Of(name)));

    [Theory]
    [InlineData("Tea1.DancerGap", "{tags}.DancerGap", "Tea1")]
    [InlineData("UW_Tea_01_Spd", "UW_{tags}_Spd", "Tea_01")]
    [InlineData("DancerDist_4", "DancerDist_{tags}", "4")]
    [InlineData("Lines[12].DancerPos", "Lines[{tags}].DancerPos", "12")]
    [InlineData("Tea[3].DancerPos", "{tags}.DancerPos", "Tea[3]")]
    [InlineData("Tea_Dancer_Pos_3", "Tea_Dancer_Pos_3", null)]
    [InlineData("DancerPos", "DancerPos", null)]
    public void The_machines_own_words_leave_a_gap_in_a_pattern(string name, string pattern, string? own) =>
        Assert.Equal(new TagPattern(pattern, own), TagPattern.Of(name));

    private static IEnumerable<string> Strong(string name) =>
        SignalNames
            .Of(name, NameWords.Of(name))
            .Where(found => found.Fit == NameFit.Strong)
            .Select(found => found.Signal.Code());
}
