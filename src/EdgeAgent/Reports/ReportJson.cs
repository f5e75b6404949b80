using System.Text.Json;
using System.Text.Json.Serialization;

namespace Dancerwatch.EdgeAgent.Reports;

/// <summary>How a report is written as JSON: what is not known is null.</summary>
[JsonSourceGenerationOptions(
    PropertyNamingPolicy = JsonKnownNamingPolicy.CamelCase,
    Converters = [typeof(KnownNumber)]
)]
[JsonSerializable(typeof(MachineReport))]
internal sealed partial class ReportJson : JsonSerializerContext
{
    /// <summary>Safe inside a script element, too: the usual encoder leaves no angle bracket.</summary>
    public static string Of(MachineReport report) => JsonSerializer.Serialize(report, Default.MachineReport);
}
