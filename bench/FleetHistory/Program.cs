using System.Globalization;
using Dancerwatch.Bench.FleetHistory.Checking;
using Dancerwatch.Bench.FleetHistory.Making;

// A fleet's history made up by physics, and the questions of docs/fleet-history asked of it and checked against the truth:
//   dotnet run -c Release --project bench/FleetHistory -- make DIR [machines] [from hour] [hours] [poll, ms]
//   dotnet run -c Release --project bench/FleetHistory -- check DIR docs/fleet-history [poll, ms]
CultureInfo.CurrentCulture = CultureInfo.InvariantCulture;
if (args is ["make", var directory, .. var rest])
{
    double Number(int place, double usual) =>
        rest.Length > place ? double.Parse(rest[place], CultureInfo.InvariantCulture) : usual;
    TimeProvider time = TimeProvider.System;
    long begun = time.GetTimestamp();
    double hours = FleetMaker.Make(
        new FleetFolders(directory),
        (int)Number(0, 64),
        fromHour: Number(1, 0),
        hours: Number(2, 24),
        pollSeconds: Number(3, 200) / 1000,
        Environment.ProcessorCount
    );
    Console.WriteLine(
        $"{hours:F0} machine-hours in {time.GetElapsedTime(begun).TotalSeconds:F0} s, {Environment.CpuUsage.TotalTime.TotalSeconds:F0} s of processor"
    );
    return 0;
}
if (args is ["check", var made, var questions, .. var poll])
{
    double pollSeconds = poll.Length > 0 ? double.Parse(poll[0], CultureInfo.InvariantCulture) / 1000 : 0.2;
    IReadOnlyList<Finding> findings = await FleetCheck.RunAsync(
        new FleetFolders(made),
        questions,
        pollSeconds,
        fewestHours: 2,
        Console.WriteLine
    );
    Console.WriteLine();
    foreach (Finding finding in findings)
        Console.WriteLine(
            $"{(finding.IsRight ? "right" : "WRONG"), -6} {finding.Question, -25} {finding.What}"
        );
    return findings.All(finding => finding.IsRight) ? 0 : 1;
}
Console.Error.WriteLine("Usage: FleetHistory make DIR [MACHINES] [FROM_HOUR] [HOURS] [POLL_MS]");
Console.Error.WriteLine("       FleetHistory check DIR QUESTIONS [POLL_MS]");
return 2;
