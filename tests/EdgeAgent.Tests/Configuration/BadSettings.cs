namespace Dancerwatch.EdgeAgent.Tests.Configuration;

/// <summary>One mistake: which piece of <see cref="SmallConfiguration"/> becomes what, and the one sentence that must come of it.</summary>
internal static class BadSettings
{
    /// <summary>Mistakes that a JSON Schema can express too: the loader and the schema must both refuse them.</summary>
    public static TheoryData<string, string, string> SeenBySchema =>
        new()
        {
            {
                "\"pollMilliseconds\"",
                "\"pollSeconds\"",
                "controllers[packing-a].pollSeconds is not a known key. Try \"pollMilliseconds\"."
            },
            {
                "\"gapAtFullCounts\"",
                "\"gapAtFulCounts\"",
                "machines[tea-1].dancer.gapAtFulCounts is not a known key. Try \"gapAtFullCounts\"."
            },
            {
                "\"pollMilliseconds\": 20",
                "\"pollMilliseconds\": 2",
                "controllers[packing-a].pollMilliseconds is 2. Allowed: a whole number from 5 to 1000. Try 20."
            },
            {
                "\"port\": 1883",
                "\"port\": 1883.5",
                "mqtt.port is 1883.5. Allowed: a whole number from 1 to 65535. Try 1883."
            },
            {
                "\"scale\": 0.06",
                "\"scale\": \"0.06\"",
                "machines[tea-1].signals.unwindSpeed.scale is \"0.06\". Allowed: a number from -1000000000 to 1000000000. Write the number without quotes."
            },
            {
                "\"scale\": 0.06",
                "\"scale\": 1e999",
                "machines[tea-1].signals.unwindSpeed.scale is 1e999. Allowed: a number from -1000000000 to 1000000000. Try 1."
            },
            {
                "\"type\": \"INT\"",
                "\"type\": \"INTEGER\"",
                "machines[tea-1].signals.gap.type is \"INTEGER\". Allowed: BOOL, SINT, INT, DINT, LINT, USINT, UINT, UDINT, ULINT, REAL, LREAL, STRING. Try \"INT\"."
            },
            {
                "\"enabled\": true",
                "\"enabled\": \"yes\"",
                "machines[tea-1].warnings.margin-low.enabled is \"yes\". Allowed: true or false. Write true or false without quotes."
            },
            {
                "\"tea-hall\"",
                "\"tea/hall\"",
                "area is \"tea/hall\". Allowed: 1 to 64 characters without '/', '+', '#' or blanks, for it becomes a level of MQTT topics. Try letters, digits and hyphens, such as tea-1."
            },
            {
                "\"Tea1.DancerGap\"",
                "\"Tea1..DancerGap\"",
                "machines[tea-1].signals.gap.tag is \"Tea1..DancerGap\". Allowed: a tag's symbolic name, such as Tea1.DancerGap, Program:Packing.Gap, Flags[3] or Status.5. Copy the name from the controller's tag list."
            },
            {
                "\"192.0.2.10\"",
                "\"192.0.2.10:44818\"",
                "controllers[packing-a].host is \"192.0.2.10:44818\". Allowed: a host name or an address, without scheme and port. Write the port under the key port."
            },
            {
                "http://",
                "",
                "telemetry.otlpEndpoint is \"192.0.2.6:4317\". Allowed: an address with scheme, host and port. Try http://127.0.0.1:4317."
            },
            {
                "\"telemetry\"",
                "\"outbox\": { \"maximumMegabytes\": 0 }, \"telemetry\"",
                "outbox.maximumMegabytes is 0. Allowed: a whole number from 1 to 1000. Try 64."
            },
            {
                "\"telemetry\"",
                "\"sparkplug\": { \"host\": \"192.0.2.7\", \"groupId\": \"tea/hall\", \"edgeNodeId\": \"node\" }, \"telemetry\"",
                "sparkplug.groupId is \"tea/hall\". Allowed: 1 to 64 characters without '/', '+' or '#', no blank at either end, for it becomes a level of MQTT topics. Try letters, digits and hyphens, such as tea-hall."
            },
            {
                "\"telemetry\"",
                "\"sparkplug\": { \"host\": \"192.0.2.7\", \"groupId\": \"leafside\" }, \"telemetry\"",
                "sparkplug.edgeNodeId is missing. Add it; see config/example.jsonc."
            },
            { "\"site\": \"leafside\",", "", "site is missing. Add it; see config/example.jsonc." },
            {
                "\"gapAtEmptyCounts\": 600, ",
                "",
                "machines[tea-1].dancer.gapAtEmptyCounts is missing. Add it; see config/example.jsonc."
            },
            {
                "[{ \"name\": \"packing-a\", \"host\": \"192.0.2.10\", \"pollMilliseconds\": 20 }]",
                "[]",
                "controllers is an empty list. Allowed: a list [ ... ] of at least one. See config/example.jsonc."
            },
            {
                "{ \"coreDiameterMillimeters\": 76 }",
                "76",
                "machines[tea-1].roll is 76. Allowed: an object { ... }. See config/example.jsonc."
            },
            {
                "[[0, 0], [100, 100]]",
                "[[0, 0]]",
                "machines[tea-1].dancer.camPercent is a list. Allowed: a list of at least two pairs [x, y]. Give both ends, or remove the key for none."
            },
            {
                "\"port\": 1883",
                "\"password\": \"black-tea\"",
                "mqtt.password stands in this file. Allowed: never a password in this file, which people copy and mail. Put it into a file of its own and name that under passwordFile."
            },
        };

    /// <summary>Mistakes between values, which only the loader sees.</summary>
    public static TheoryData<string, string, string> BetweenValues =>
        new()
        {
            {
                "\"telemetry\"",
                "\"sparkplug\": { \"host\": \"192.0.2.5\", \"groupId\": \"leafside\", \"edgeNodeId\": \"tea-hall\", \"clientId\": \"dancerwatch\" }, \"telemetry\"",
                "sparkplug.clientId is \"dancerwatch\". Allowed: another client identifier than mqtt has at the same broker, which would throw either out for the other. Try dancerwatch-sparkplug."
            },
            {
                "\"gapAtFullCounts\": 3500",
                "\"gapAtFullCounts\": 600",
                "machines[tea-1].dancer.gapAtFullCounts is 600. Allowed: at least 10 steps of gapResolutionCounts away from gapAtEmptyCounts (600). Teach both ends again: a dancer that moves gives two different gaps."
            },
            {
                "\"gapAtFullCounts\": 3500",
                "\"gapAtFullCounts\": 3500, \"largerGapSide\": \"empty\"",
                "machines[tea-1].dancer.gapAtFullCounts is 3500. Allowed: below gapAtEmptyCounts (600), for largerGapSide is \"empty\". The set points look swapped: look which gap the sensor reads with the dancer at its full side."
            },
            {
                "\"gapAtFullCounts\": 3500",
                "\"gapAtFullCounts\": 5000",
                "machines[tea-1].dancer.gapAtFullCounts is 5000. Allowed: within the sensor's range of 0 to 4095 counts. Correct it, or gapMinimumCounts and gapMaximumCounts."
            },
            {
                "\"gapAtFullCounts\": 3500",
                "\"gapAtFullCounts\": 3500, \"gapMinimumCounts\": 4095, \"gapMaximumCounts\": 0",
                "machines[tea-1].dancer.gapMaximumCounts is 0. Allowed: above gapMinimumCounts (4095). Swap the two."
            },
            {
                "\"gapAtFullCounts\": 3500",
                "\"gapAtFullCounts\": 3500, \"gapResolutionCounts\": 0.001",
                "machines[tea-1].dancer.gapResolutionCounts is 0.001. Allowed: at most 65535 steps from gapMinimumCounts (0) to gapMaximumCounts (4095). Narrow the sensor's range, or give a coarser step."
            },
            {
                "[[0, 0], [100, 100]]",
                "[[0, 0], [60, 70], [50, 80]]",
                "machines[tea-1].dancer.camPercent[2] is [50, 80]. Allowed: a pair [x, y] of numbers from -100 to 200, each larger than in the pair before. Sort the pairs by x and remove what does not rise in y."
            },
            {
                "\"coreDiameterMillimeters\": 76",
                "\"coreDiameterMillimeters\": 76, \"fullDiameterMillimeters\": 70",
                "machines[tea-1].roll.fullDiameterMillimeters is 70. Allowed: above coreDiameterMillimeters (76). Measure both as diameters, in mm."
            },
            {
                "\"scale\": 0.06",
                "\"scale\": 0",
                "machines[tea-1].signals.unwindSpeed.scale is 0. Allowed: not 0, for then every value would be the offset. Try 1."
            },
            {
                "\"Tea1.DancerGap\"",
                "\"Tea1.Word.3\"",
                "machines[tea-1].signals.gap.type is \"INT\". Allowed: BOOL, for the tag's name ends in a bit number. Try \"BOOL\"."
            },
            {
                "\"type\": \"REAL\"",
                "\"type\": \"STRING\"",
                "machines[tea-1].signals.unwindSpeed.type is \"STRING\". Allowed: a number or a bit; only product may be a STRING. Read a numeric tag."
            },
            {
                "\"controller\": \"packing-a\"",
                "\"controller\": \"packing-b\"",
                "machines[tea-1].controller is \"packing-b\". Allowed: a name from controllers: packing-a. Try \"packing-a\"."
            },
            {
                "\"enabled\": true",
                "\"limitPercent\": 10, \"deadbandPercent\": 60",
                "machines[tea-1].warnings.margin-low.deadbandPercent is 60. Allowed: a number from 0 to 50. Try 5."
            },
            {
                "\"margin-low\": { \"enabled\": true }",
                "\"oscillation\": { \"limitPercent\": 3, \"deadbandPercent\": 4 }",
                "machines[tea-1].warnings.oscillation.deadbandPercent is 4. Allowed: at most limitPercent (3), or it would never clear. Make it smaller."
            },
            {
                "\"telemetry\"",
                "\"statusPage\": { \"enabled\": true, \"address\": \"0.0.0.0\" }, \"telemetry\"",
                "statusPage.tokenFile is missing. Allowed: a file with a token where the page is served at another address than loopback. Name one, or put address back to 127.0.0.1."
            },
            {
                "\"telemetry\"",
                "\"statusPage\": { \"address\": \"tea.example\" }, \"telemetry\"",
                "statusPage.address is \"tea.example\". Allowed: an IP address of this computer, or 0.0.0.0 for all. Try 127.0.0.1."
            },
            {
                "\"port\": 1883",
                "\"passwordFile\": \"secret\"",
                "mqtt.userName is missing. Allowed: a user name where passwordFile is given. Add userName, or remove passwordFile."
            },
            {
                "\"tls\": {}",
                "\"tls\": { \"clientKeyFile\": \"key.pem\" }",
                "mqtt.tls.clientCertificateFile is missing. Allowed: both clientCertificateFile and clientKeyFile, or neither. Name the PEM file of the other half as well."
            },
            {
                "\"pollMilliseconds\": 20 }",
                "\"pollMilliseconds\": 20 }, { \"name\": \"Packing-A\", \"host\": \"192.0.2.11\" }",
                "controllers[Packing-A].name is \"Packing-A\". Allowed: a name no other has, letter case aside. Give each its own."
            },
            {
                "\"roll\":",
                "\"columns\": { \"gap\": \"unwindSpeed\" }, \"roll\":",
                "machines[tea-1].columns.gap is \"unwindSpeed\". Allowed: a column of its own, and none of time_s, time, machine, quality. Name the column the signal really stands in."
            },
            {
                "\"area\": \"tea-hall\"",
                "\"area\": \"tea-hall\", \"area\": \"hall-2\"",
                "area is given twice. Allowed: once. Remove one of the two."
            },
        };
}
