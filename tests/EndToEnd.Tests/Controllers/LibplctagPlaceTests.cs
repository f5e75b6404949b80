using System.Runtime.InteropServices;
using Dancerwatch.EdgeAgent.Tests.Hosting;
using Dancerwatch.EndToEnd.Tests.Survey;
using Processor = System.Runtime.InteropServices.Architecture;

namespace Dancerwatch.EndToEnd.Tests.Controllers;

/// <summary>The program as a process of its own where the native library is not there, or is a wrong one: one line, and nothing else is disturbed.</summary>
public sealed class LibplctagPlaceTests : IAsyncDisposable
{
    private readonly TestHall _hall = new("tea");
    private readonly TemporaryFolder _folder = new();

    private string Library => _folder.PathOf("libplctag.so");

    public ValueTask DisposeAsync()
    {
        _folder.Dispose();
        return _hall.DisposeAsync();
    }

    [Fact]
    public Task A_library_that_is_not_there_is_told_with_where_it_was_looked_for() =>
        IsToldAsync(
            $"libplctag was not found. Looked for at {Library}. Install it, name its file in the environment variable DANCERWATCH_LIBPLCTAG, or set driver to \"ethernet-ip\""
        );

    [Fact]
    public Task A_library_for_another_processor_is_told_as_such()
    {
        bool isArm = RuntimeInformation.ProcessArchitecture == Processor.Arm64;
        // Head of an ELF file: magic, 64 bits, ..., the machine at byte 18: 0x3E x64, 0xB7 arm64.
        byte[] head =
        [
            .. "\u007fELF\u0002\u0001\u0001"u8,
            .. new byte[9],
            3,
            0,
            isArm ? (byte)0x3E : (byte)0xB7,
            0,
        ];
        File.WriteAllBytes(Library, head);

        return IsToldAsync(
            $"libplctag at {Library} is built for {(isArm ? "x64" : "arm64")}, and this program runs on {(isArm ? "arm64" : "x64")}. Get it for {(isArm ? "arm64" : "x64")}"
        );
    }

    [Fact]
    public Task What_is_no_library_is_told_as_such()
    {
        File.WriteAllText(Library, "tea");

        return IsToldAsync(
            $"libplctag at {Library} cannot be loaded: it is no native library of this system, or needs another that is not there"
        );
    }

    [Fact]
    public async Task A_library_of_another_version_is_told_with_both()
    {
        string compiler = ToolProcess.Require("cc");
        string source = _folder.PathOf("old.c");
        await File.WriteAllTextAsync(
            source,
            """
            int plc_tag_check_lib_version(int major, int minor, int patch) { return -35; }
            int plc_tag_get_int_attribute(int tag, const char *name, int fallback) { return 1; }
            int plc_tag_get_raw_bytes(int tag, int offset, unsigned char *into, int length) { return -35; }
            """,
            TestContext.Current.CancellationToken
        );
        await using ToolProcess compile = new(compiler, "-shared", "-fPIC", "-o", Library, source);
        await compile.LinesToEndAsync(TestContext.Current.CancellationToken);

        await IsToldAsync(
            $"libplctag at {Library} is version 1.1.1; needed is 2.5 or a later 2. Get such a one"
        );
    }

    private async Task IsToldAsync(string sentence)
    {
        string config = _folder.PathOf("hall.jsonc");
        int port = _hall.Controller.EndPoint.Port;
        string text = _hall
            .Configuration()
            .Replace($"{port} }}", $"{port}, \"timeoutMilliseconds\": 10000 }}", StringComparison.Ordinal);
        // Another controller beside it, read by the library; a machine of each.
        text = text.Replace(
                "\"controllers\": [",
                "\"controllers\": [ { \"name\": \"native\", \"driver\": \"libplctag\", \"host\": \"127.0.0.1\" },",
                StringComparison.Ordinal
            )
            .Replace(
                "\"machines\": [",
                """
                "machines": [
                    {
                      "name": "native-1", "line": "line-1", "controller": "native",
                      "signals": {
                        "gap": { "tag": "M1.DancerGap", "type": "REAL" },
                        "unwindSpeed": { "tag": "M1.UnwindSpeed", "type": "REAL" }
                      },
                      "dancer": { "gapAtEmptyCounts": 600, "gapAtFullCounts": 3500 }
                    },
                """,
                StringComparison.Ordinal
            );
        await File.WriteAllTextAsync(config, text, TestContext.Current.CancellationToken);
        await using ToolProcess check = new(
            "env",
            $"DANCERWATCH_LIBPLCTAG={Library}",
            "dotnet",
            Path.Combine(AppContext.BaseDirectory, "dancerwatch.dll"),
            "check",
            "--config",
            config,
            "--seconds",
            "0"
        );
        IReadOnlyList<string> said = await check.LinesToEndAsync(TestContext.Current.CancellationToken);

        string told = Assert.Single(said, line => line.Contains("libplctag", StringComparison.Ordinal));
        Assert.Equal(
            $"  LOOK  1 reads brought nothing: controller 'native' at 127.0.0.1:44818 cannot be read: {sentence}.",
            told
        );
        // The other controller was read.
        Assert.Contains("    gap           2050            M1.DancerGap REAL 2050", said);
        Assert.Equal(3, check.ExitCode);
    }
}
