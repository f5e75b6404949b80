using System.ComponentModel;
using System.Diagnostics;
using System.Globalization;
using System.Text;
using Dancerwatch.VirtualMachine.Tests.EtherNetIp.Cip;
using static Dancerwatch.VirtualMachine.Tests.EtherNetIp.Cip.Bytes;

namespace Dancerwatch.VirtualMachine.Tests.EtherNetIp;

/// <summary>
/// What the controller says, read by tshark's EtherNet/IP and CIP dissectors: they know the specification from elsewhere.
/// Nothing is captured: the frames go through text2pcap, so no rights are needed.
/// </summary>
public sealed class DissectorTests
{
    private static readonly TimeSpan s_patience = TimeSpan.FromSeconds(60);
    private readonly Conversation _plc = new();

    public DissectorTests()
    {
        _plc.Table.AddInt("Tea1.DancerGap").Value = 2048;
        _plc.Table.AddBool("Tea1.Running").Value = true;
        _plc.Table.AddString("Tea1.Recipe").Value = "Assam";
        _plc.Table.AddLreal("Double").Value = 0.5;
        _plc.Table.AddDints("Weights", 300);
        _plc.Table.AddDint("Program:Main.Counter");
    }

    [Fact]
    public async Task Every_kind_of_reply_is_well_formed_and_means_to_tshark_what_it_means_to_us()
    {
        ForwardOpen small = new();
        ForwardOpen large = new()
        {
            Large = true,
            Serial = 2,
            Size = 4002,
        };
        (byte[] Request, int Status)[] unconnected =
        [
            (Request(0x01, Hex("2001 2401"), []), 0x00),
            (Request(0x0E, Hex("2001 2401 3007"), []), 0x00),
            (Request(0x0E, Hex("2001 2401 3063"), []), 0x14),
            (Request(0x55, Hex("206B 2400"), Hex("0200 0100 0200")), 0x00),
            (Request(0x03, Hex("206C 2500 CE0F"), Hex("0400 0400 0500 0200 0100")), 0x00),
            (Request(0x4C, Hex("206C 2500 CE0F"), Hex("00000000 F401")), 0x00),
            (ReadTag("Tea1.DancerGap"), 0x00),
            (ReadTag("Tea1"), 0x00),
            (UnconnectedSend(ReadTag("Double")), 0x00),
            (UnconnectedSend(ReadTag("Double"), route: "0109"), 0x01),
            (ReadTag("Weights", 300), 0x06),
            (ReadFragment("Weights", 300, 1000), 0x00),
            (ReadTag("Missing"), 0x04),
            (ReadTag("Tea1.Missing"), 0x05),
            (ReadTag("Double", 2), 0xFF),
            (Request(0x4D, Symbols("Double"), Hex("CB00 0100 0000000000000000")), 0x08),
            (Packet(ReadTag("Double"), ReadTag("Tea1.Recipe")), 0x00),
            (Packet(ReadTag("Double"), ReadTag("Missing")), 0x1E),
            (small.Request, 0x00),
            (small.Request, 0x01),
            (large.Request, 0x00),
            (large.CloseRequest, 0x00),
            (large.CloseRequest, 0x01),
        ];
        List<(byte[] Frame, bool FromController, int? Status)> frames = [];
        foreach (
            byte[] frame in (byte[][])
                [Frame(0x04, 0, []), Frame(0x63, 0, []), Frame(0x64, 0, []), Frame(0x99, 0, [])]
        )
            Record(frame, status: null);
        foreach ((byte[] request, int status) in unconnected)
            Record(SendRRData(_plc.Handle, request), status);
        uint connection = _plc.Open(new() { Serial = 3 });
        Record(SendUnitData(_plc.Handle, connection, 1, ReadTag("Program:Main.Counter")), 0x00);

        string[] decoded = await Dissect(frames.Select(frame => (frame.Frame, frame.FromController)));

        // Each line: malformed, command, general status.
        string[] expected =
        [
            .. frames.Select(frame =>
                $"|0x{frame.Frame[0]:x4}|{(frame.Status is { } status ? $"0x{status:x2}" : "")}"
            ),
        ];
        Assert.Equal(expected, decoded);

        void Record(byte[] request, int? status)
        {
            frames.Add((request, false, null));
            frames.Add((_plc.Answer(request), true, status));
        }
    }

    private static async Task<string[]> Dissect(IEnumerable<(byte[] Frame, bool FromController)> frames)
    {
        StringBuilder dump = new();
        foreach ((byte[] frame, bool fromController) in frames)
            dump.Append(fromController ? "I\n" : "O\n")
                .Append("0000 ")
                .AppendJoin(' ', frame.Select(Hexadecimal))
                .Append('\n');
        string file = Path.Combine(Path.GetTempPath(), $"dancerwatch-{Guid.NewGuid():N}");
        try
        {
            await File.WriteAllTextAsync(file + ".txt", dump.ToString());
            await Run("text2pcap", "-q", "-D", "-T", "44818,50000", file + ".txt", file + ".pcap");
            string output = await Run(
                "tshark",
                [
                    "-r",
                    file + ".pcap",
                    "-T",
                    "fields",
                    "-E",
                    "separator=|",
                    "-E",
                    "occurrence=f",
                    "-e",
                    "_ws.malformed",
                    "-e",
                    "enip.command",
                    "-e",
                    "cip.genstat",
                ]
            );
            return output.Split('\n', StringSplitOptions.RemoveEmptyEntries);
        }
        finally
        {
            File.Delete(file + ".txt");
            File.Delete(file + ".pcap");
        }

        static string Hexadecimal(byte value) => value.ToString("x2", CultureInfo.InvariantCulture);
    }

    private static async Task<string> Run(string program, params string[] arguments)
    {
        ProcessStartInfo start = new(program, arguments)
        {
            RedirectStandardOutput = true,
            RedirectStandardError = true,
        };
        Process process;
        try
        {
            process = Process.Start(start)!;
        }
        catch (Win32Exception)
        {
            Assert.Skip($"{program} is not installed.");
            throw;
        }
        using (process)
        using (CancellationTokenSource patience = new(s_patience))
        {
            Task<string> output = process.StandardOutput.ReadToEndAsync(patience.Token);
            Task<string> error = process.StandardError.ReadToEndAsync(patience.Token);
            try
            {
                await process.WaitForExitAsync(patience.Token);
            }
            finally
            {
                if (!process.HasExited)
                    process.Kill();
            }
            Assert.True(process.ExitCode == 0, $"{program} failed: {await error}");
            return await output;
        }
    }
}
