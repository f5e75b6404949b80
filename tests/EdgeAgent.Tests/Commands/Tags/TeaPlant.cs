using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Tests.Commands.Tags;

/// <summary>300 tags and more: seven machines named in six ways, conveyors, hoppers, jaws, alarms, copies for a panel.</summary>
internal static class TeaPlant
{
    public static Plant Make()
    {
        Plant plant = new();
        Structures(plant, "tea-1", "Tea1");
        Structures(plant, "tea-2", "Tea2");
        Shortened(plant);
        Programs(plant);
        NumbersBehind(plant);
        German(plant);
        Arrays(plant);
        Others(plant);
        return plant;
    }

    // A structure for each machine, words in full.
    private static void Structures(Plant plant, string machine, string tags)
    {
        plant.Machine(machine);
        plant.Has(Signal.Gap, $"{tags}.DancerGap", TagType.Int);
        plant.Has(Signal.UnwindSpeed, $"{tags}.UnwindSpeed", TagType.Real);
        plant.Has(Signal.UnwindCommand, $"{tags}.UnwindSpeedCommand", TagType.Real);
        plant.Has(Signal.LineSpeed, $"{tags}.LineSpeed", TagType.Real);
        plant.Has(Signal.CycleRate, $"{tags}.CycleRate", TagType.Real);
        plant.Has(Signal.Running, $"{tags}.Running", TagType.Bool);
        plant.Has(Signal.TargetFill, $"{tags}.DancerSetpoint", TagType.Real);
        plant.Has(Signal.GapAtFull, $"{tags}.GapAtFull", TagType.Int);
        plant.Has(Signal.GapAtEmpty, $"{tags}.GapAtEmpty", TagType.Int);
        plant.Has(Signal.FullSideTrip, $"{tags}.FullSideTrip", TagType.Bool);
        plant.Has(Signal.EmptySideTrip, $"{tags}.EmptySideTrip", TagType.Bool);
        plant.Has(Signal.BrakeOn, $"{tags}.BrakeOn", TagType.Bool);
        plant.Has(Signal.RollDiameter, $"{tags}.RollDiameter", TagType.Real);
        plant.Has(Signal.EdgePosition, $"{tags}.EdgePosition", TagType.Real);
        plant.Has(Signal.Product, $"{tags}.Product", TagType.Dint);
        plant.Shows($"{tags}.BagCount", TagType.Dint, image => image.GapCounts);
        plant.Shows($"{tags}.DancerKp", TagType.Real, _ => 1.5);
        plant.Shows($"{tags}.ConveyorSpeed", TagType.Real, image => image.UnwindSpeed);
        plant.Shows($"{tags}.JawTemperature", TagType.Real, _ => 145);
        plant.Shows($"HMI_{tags}_DancerGap", TagType.Int, image => image.GapCounts);
    }

    // No structures, capitals and shortenings; the filtered position beside the raw one; a brake told by its release.
    private static void Shortened(Plant plant)
    {
        plant.Machine("tea-3");
        plant.Has(Signal.Gap, "TEA3_DNC_POS_AI", TagType.Int);
        plant.Shows("TEA3_DNC_POS_FILT", TagType.Real, image => image.GapCounts);
        plant.Has(Signal.UnwindSpeed, "TEA3_UW_SPD_ACT", TagType.Real);
        plant.Has(Signal.UnwindCommand, "TEA3_UW_SPD_REF", TagType.Real);
        plant.Shows("TEA3_UW_SPD_MAX", TagType.Real, _ => 26);
        plant.Has(Signal.LineSpeed, "TEA3_LINE_SPD", TagType.Real);
        plant.Has(Signal.CycleRate, "TEA3_MACH_BPM", TagType.Dint);
        plant.Has(Signal.Running, "TEA3_RUN", TagType.Bool);
        plant.Has(Signal.TargetFill, "TEA3_DNC_SP", TagType.Real);
        plant.Has(Signal.GapAtFull, "TEA3_DNC_FULL_SP", TagType.Int);
        plant.Has(Signal.GapAtEmpty, "TEA3_DNC_EMPTY_SP", TagType.Int);
        plant.Has(Signal.FullSideTrip, "TEA3_FULL_SIDE_FLT", TagType.Bool);
        plant.Has(Signal.EmptySideTrip, "TEA3_EMPTY_SIDE_FLT", TagType.Bool);
        plant.Shows("TEA3_BRK_RELEASED", TagType.Bool, image => image.BrakeOn ? 0 : 1);
        plant.Truth["tea-3"][Signal.BrakeOn] = new TagRequest("TEA3_BRK_RELEASED", TagType.Bool);
        plant.Has(Signal.RollDiameter, "TEA3_ROLL_DIA_MM", TagType.Real);
        plant.Has(Signal.Product, "TEA3_RECIPE_NO", TagType.Dint);
        plant.Shows("TEA3_DNC_HI_ALM", TagType.Bool, _ => 0);
        plant.Shows("TEA3_DNC_LO_ALM", TagType.Bool, _ => 0);
    }

    // A program for the machine, structures within, speeds in m/s.
    private static void Programs(Plant plant)
    {
        plant.Machine("tea-4");
        plant.Has(Signal.Gap, "Program:Tea4.Dancer.Position", TagType.Int);
        plant.Has(Signal.GapAtFull, "Program:Tea4.Dancer.FullTaught", TagType.Int);
        plant.Has(Signal.GapAtEmpty, "Program:Tea4.Dancer.EmptyTaught", TagType.Int);
        plant.Has(Signal.TargetFill, "Program:Tea4.Dancer.Target", TagType.Real);
        plant.Has(Signal.UnwindSpeed, "Program:Tea4.Unwind.Speed_mps", TagType.Real, 1 / 60.0);
        plant.Has(Signal.UnwindCommand, "Program:Tea4.Unwind.SpeedCmd_mps", TagType.Real, 1 / 60.0);
        plant.Has(Signal.LineSpeed, "Program:Tea4.Machine.Speed_mps", TagType.Real, 1 / 60.0);
        plant.Has(Signal.Running, "Program:Tea4.Machine.Running", TagType.Bool);
        plant.Has(Signal.RollDiameter, "Program:Tea4.Unwind.Diameter", TagType.Real);
        plant.Shows("Program:Tea4.Unwind.MotorCurrent", TagType.Real, image => image.UnwindSpeed / 10);
        plant.Shows("Program:Tea4.Dancer.PID_Out", TagType.Real, image => image.GapCounts / 40.0);
    }

    // One list of tags, with the machine's number at the end of each.
    private static void NumbersBehind(Plant plant)
    {
        plant.Machine("machine-5");
        plant.Has(Signal.Gap, "DancerDist_5", TagType.Int);
        plant.Has(Signal.UnwindSpeed, "UnwinderSpeed_5", TagType.Real);
        plant.Has(Signal.UnwindCommand, "UnwinderSpeedRef_5", TagType.Real);
        plant.Has(Signal.LineSpeed, "MachineSpeed_5", TagType.Real);
        plant.Has(Signal.CycleRate, "BagRate_5", TagType.Real);
        plant.Has(Signal.Running, "MachineRunning_5", TagType.Bool);
        plant.Has(Signal.GapAtFull, "DancerDistFull_5", TagType.Int);
        plant.Has(Signal.GapAtEmpty, "DancerDistEmpty_5", TagType.Int);
        plant.Has(Signal.BrakeOn, "BrakeApplied_5", TagType.Bool);
        plant.Has(Signal.EdgePosition, "WebEdgePos_5", TagType.Real);
        plant.Shows("BagCounter_5", TagType.Dint, image => image.GapCounts);
    }

    private static void German(Plant plant)
    {
        plant.Machine("tee-6");
        plant.Has(Signal.Gap, "Tee6_TaenzerLage", TagType.Int);
        plant.Has(Signal.UnwindSpeed, "Tee6_AbwicklerGeschw", TagType.Real);
        plant.Has(Signal.UnwindCommand, "Tee6_AbwicklerGeschwSoll", TagType.Real);
        plant.Has(Signal.LineSpeed, "Tee6_AbzugGeschw", TagType.Real);
        plant.Has(Signal.Running, "Tee6_Laeuft", TagType.Bool);
        plant.Has(Signal.GapAtFull, "Tee6_TaenzerVoll", TagType.Int);
        plant.Has(Signal.GapAtEmpty, "Tee6_TaenzerLeer", TagType.Int);
        plant.Has(Signal.FullSideTrip, "Tee6_VollStoerung", TagType.Bool);
        plant.Has(Signal.EmptySideTrip, "Tee6_LeerStoerung", TagType.Bool);
        plant.Has(Signal.RollDiameter, "Tee6_RollenDurchmesser", TagType.Real);
        plant.Has(Signal.Product, "Tee6_RezeptNr", TagType.Dint);
        plant.Shows("Tee6_TaenzerOben", TagType.Bool, _ => 0);
    }

    // Arrays over all places of the hall, of which one has a machine.
    private static void Arrays(Plant plant)
    {
        plant.Machine("machine-7");
        plant.Has(Signal.Gap, "Dancer_Pos[7]", TagType.Int);
        plant.Has(Signal.UnwindSpeed, "Unwind_Speed[7]", TagType.Real);
        plant.Has(Signal.GapAtFull, "Dancer_Full[7]", TagType.Int);
        plant.Has(Signal.GapAtEmpty, "Dancer_Empty[7]", TagType.Int);
        plant.Has(Signal.RollDiameter, "Roll_Diameter[7]", TagType.Real);
    }

    // What else moves, stands and is named alike.
    private static void Others(Plant plant)
    {
        for (int i = 1; i <= 24; i++)
        {
            plant.Other($"Conveyor{i}_Speed", TagType.Real, 30, 4);
            plant.Other($"Conveyor{i}_SpeedRef", TagType.Real, 30, 0);
            plant.Other($"Hopper{i}_Level", TagType.Real, 60, 5);
            plant.Other($"Jaw{i}_Temp", TagType.Real, 145, 1);
            plant.Other($"Scale{i}_FillWeight", TagType.Real, 100, 2);
            plant.Other($"Alarm_{i}", TagType.Bool, 0, 0);
            plant.Other($"Valve{i}.Position", TagType.Real, 50, 10);
            plant.Other($"Valve{i}.Open", TagType.Bool, 1, 0);
            plant.Other($"Program:Utilities.Pump{i}_Pressure", TagType.Real, 6, 0.2);
        }
        plant.Text("Recipe_Text", "Assam 100 g");
        plant.Other("Plant_Air_Pressure", TagType.Real, 6, 0.1);
    }
}
