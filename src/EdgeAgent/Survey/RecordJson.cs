using System.Text.Json.Serialization;

namespace Dancerwatch.EdgeAgent.Survey;

/// <summary>How a record is written: what is not known is null, numbers have nine digits.</summary>
[JsonSourceGenerationOptions(
    PropertyNamingPolicy = JsonKnownNamingPolicy.CamelCase,
    UseStringEnumConverter = true,
    IgnoreReadOnlyProperties = true,
    WriteIndented = true,
    UnmappedMemberHandling = JsonUnmappedMemberHandling.Disallow,
    Converters = [typeof(KnownNumber)]
)]
[JsonSerializable(typeof(SurveyRecord))]
internal sealed partial class RecordJson : JsonSerializerContext;
