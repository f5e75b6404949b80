using System.Text.RegularExpressions;

namespace Dancerwatch.EdgeAgent.Configuration;

/// <summary>What a text in the configuration must look like. The pattern is the one in the JSON Schema (ECMA 262).</summary>
/// <param name="Allowed">The pattern in words.</param>
/// <param name="Try">What to do when it does not fit: a whole sentence.</param>
internal sealed partial record TextRule(Regex Pattern, string Allowed, string Try)
{
    public static readonly TextRule Any = new(
        AnyPattern(),
        "text that is not empty",
        "Fill it in, or remove the key."
    );

    public static readonly TextRule TopicWord = new(
        TopicWordPattern(),
        "1 to 64 characters without '/', '+', '#' or blanks, for it becomes a level of MQTT topics",
        "Try letters, digits and hyphens, such as tea-1."
    );

    public static readonly TextRule TopicPrefix = new(
        TopicPrefixPattern(),
        "topic levels joined by '/', without '+', '#' or blanks, not starting with '$' or '/'",
        "Try dancerwatch."
    );

    public static readonly TextRule SparkplugId = new(
        SparkplugIdPattern(),
        "1 to 64 characters without '/', '+' or '#', no blank at either end, for it becomes a level of MQTT topics",
        "Try letters, digits and hyphens, such as tea-hall."
    );

    public static readonly TextRule Host = new(
        HostPattern(),
        "a host name or an address, without scheme and port",
        "Write the port under the key port."
    );

    public static readonly TextRule Route = new(
        RoutePattern(),
        "pairs of port (1 to 14) and link (0 to 255, or an address) joined by commas, such as 1,0; empty for none",
        "Try 1,0 for a processor in slot 0 of the rack."
    );

    public static readonly TextRule TagName = new(
        TagNamePattern(),
        "a tag's symbolic name, such as Tea1.DancerGap, Program:Packing.Gap, Flags[3] or Status.5",
        "Copy the name from the controller's tag list."
    );

    public static readonly TextRule HttpAddress = new(
        HttpAddressPattern(),
        "an address with scheme, host and port",
        "Try http://127.0.0.1:4317."
    );

    public bool Fits(string text) =>
        Pattern.Match(text) is { Success: true } match && match.Length == text.Length;

    [GeneratedRegex(@"^[\s\S]*\S[\s\S]*$")]
    private static partial Regex AnyPattern();

    [GeneratedRegex(@"^[^/+#\s\x00-\x1F\x7F]{1,64}$")]
    private static partial Regex TopicWordPattern();

    [GeneratedRegex(@"^(?!\s)[^/+#\x00-\x1F\x7F]{0,63}[^/+#\s\x00-\x1F\x7F]$")]
    private static partial Regex SparkplugIdPattern();

    [GeneratedRegex(@"^[^/+#\s$\x00-\x1F\x7F][^/+#\s\x00-\x1F\x7F]*(/[^/+#\s\x00-\x1F\x7F]+)*$")]
    private static partial Regex TopicPrefixPattern();

    [GeneratedRegex(@"^([A-Za-z0-9._-]{1,253}|[0-9A-Fa-f]*:[0-9A-Fa-f]*:[0-9A-Fa-f:.]*)$")]
    private static partial Regex HostPattern();

    private const string Byte = "(25[0-5]|2[0-4][0-9]|1?[0-9]{1,2})";
    private const string Hop = "(1[0-4]|[1-9])," + Byte + @"((\." + Byte + "){3})?";

    [GeneratedRegex("^(" + Hop + "(," + Hop + ")*)?$")]
    private static partial Regex RoutePattern();

    [GeneratedRegex(@"^https?://[^\s/]+(/[^\s]*)?$")]
    private static partial Regex HttpAddressPattern();

    private const string Name = "[A-Za-z_][A-Za-z0-9_]{0,39}";
    private const string Scope = "(:[A-Za-z0-9_]{1,40}){0,2}";
    private const string Index = @"(\[[0-9]{1,9}(,[0-9]{1,9}){0,2}\])?";
    private const string Bit = "([0-9]|[1-5][0-9]|6[0-3])";

    [GeneratedRegex("^" + Name + Scope + Index + @"(\." + Name + Index + @")*(\." + Bit + ")?$")]
    private static partial Regex TagNamePattern();
}
