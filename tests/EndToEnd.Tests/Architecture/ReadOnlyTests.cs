using System.Reflection;
using Dancerwatch.EdgeAgent.Commands;

namespace Dancerwatch.EndToEnd.Tests.Architecture;

/// <summary>
/// The agent has no means to change anything in a controller: the services are not there to be called. Codes: CIP volume 1,
/// appendix A, and the data-access services of Logix-class controllers (from memory; the capture test has an independent
/// dissector say the same of a whole run).
/// </summary>
public sealed class ReadOnlyTests
{
    private static readonly Assembly s_agent = typeof(CommandLine).Assembly;
    private const string Controllers = "Dancerwatch.EdgeAgent.Controllers";

    // Traces are files: they are written, and no controller is near.
    private const string Recordings = $"{Controllers}.Recorded";

    private const int ReadModifyWriteTag = 0x4E;
    private const int ForwardClose = 0x4E;
    private const int WriteTag = 0x4D;
    private const int WriteTagFragmented = 0x53;

    // Reads, and what carries them: Get Attribute List, Multiple Service Packet, Read Tag (and Template), Forward Close (to the connection manager), Read Tag
    // Fragmented and Unconnected Send (one code, two objects), Forward Open, Get Instance Attribute List, Large Forward Open.
    private static readonly int[] s_harmless = [0x03, 0x0A, 0x4C, ForwardClose, 0x52, 0x54, 0x55, 0x5B];

    [Fact]
    public void The_driver_knows_read_services_only()
    {
        Type services = s_agent.GetType($"{Controllers}.EtherNetIp.CipService", throwOnError: true)!;
        int[] codes =
        [
            .. services
                .GetFields(BindingFlags.Public | BindingFlags.NonPublic | BindingFlags.Static)
                .Where(field => field.Name != "ReplyBit")
                .Select(field => Convert.ToInt32(field.GetRawConstantValue(), null)),
        ];

        Assert.Contains(0x4C, codes); // or the scan found nothing
        Assert.All(codes, code => Assert.Contains(code, s_harmless));
    }

    [Fact]
    public void No_instruction_of_the_driver_holds_the_code_of_a_write_service()
    {
        MethodBase[] methods =
        [
            .. Metadata.TypesUnder(s_agent, $"{Controllers}.EtherNetIp").SelectMany(Metadata.MethodsOf),
        ];
        int[] Holding(int code) =>
            [.. methods.SelectMany(Metadata.Literals).Where(literal => literal == code)];

        Assert.NotEmpty(Holding(0x4C)); // Read Tag is found, so the scan works
        Assert.Empty(Holding(WriteTag));
        Assert.Empty(Holding(WriteTagFragmented));
        // Forward Close shares its code with a write service; it stands in one place, addressed to the connection manager.
        Assert.Equal(
            ["CloseMessage"],
            methods
                .Where(method => Metadata.Literals(method).Contains(ReadModifyWriteTag))
                .Select(method => method.Name)
        );
    }

    [Fact]
    public void Nothing_that_talks_to_controllers_is_named_after_writing()
    {
        string[] names =
        [
            .. Metadata
                .TypesUnder(s_agent, Controllers)
                .Where(type => !type.Namespace!.StartsWith(Recordings, StringComparison.Ordinal))
                .SelectMany(type => Metadata.MembersOf(type).Append(type))
                .Select(member => member.Name),
        ];

        Assert.Contains("ReadAsync", names); // or the scan found nothing
        Assert.DoesNotContain(
            names,
            name =>
                name.Contains("write", StringComparison.OrdinalIgnoreCase)
                || name.Contains("SetAttribute", StringComparison.OrdinalIgnoreCase)
        );
    }

    [Fact]
    public void The_agent_imports_of_native_code_what_reads_by_libplctag_and_what_waits_or_frees_memory_and_nothing_else()
    {
        IReadOnlyList<(string Library, string Name)> imports = Metadata.NativeImports(s_agent);

        // Of libplctag a read, what carries it, and what tells of the library itself; of the system what waits, and what gives memory back.
        Assert.Equal(
            [
                "epoll_create1",
                "epoll_ctl",
                "epoll_wait",
                "madvise",
                "plc_tag_check_lib_version",
                "plc_tag_create",
                "plc_tag_decode_error",
                "plc_tag_destroy",
                "plc_tag_get_int_attribute",
                "plc_tag_get_raw_bytes",
                "plc_tag_get_size",
                "plc_tag_read",
                "plc_tag_status",
                "timerfd_create",
                "timerfd_settime",
            ],
            imports.Select(import => import.Name).Distinct().Order(StringComparer.Ordinal)
        );
        Assert.All(
            imports,
            import =>
                Assert.Equal(
                    import.Name.StartsWith("plc_", StringComparison.Ordinal) ? "plctag" : "libc",
                    import.Library
                )
        );
        // Functions may also be asked of a library by name, at run time: two names are, neither to be called.
        Assert.DoesNotContain(
            Metadata
                .TypesUnder(s_agent, $"{Controllers}.Libplctag")
                .SelectMany(Metadata.MethodsOf)
                .SelectMany(Metadata.Texts),
            text =>
                text.Contains("set", StringComparison.OrdinalIgnoreCase)
                    && text.StartsWith("plc_", StringComparison.Ordinal)
                || text.Contains("write", StringComparison.OrdinalIgnoreCase)
        );
        Assert.DoesNotContain(
            Metadata.MemberReferences(
                s_agent,
                "System.Runtime.InteropServices.Marshal",
                "System.Runtime.InteropServices.NativeLibrary"
            ),
            name => name is "GetDelegateForFunctionPointer" or "GetExport"
        );
    }
}
