using System.Runtime.InteropServices;
using Dancerwatch.EdgeAgent.Controllers.Libplctag;

namespace Dancerwatch.EdgeAgent.Tests.Controllers.Libplctag;

public sealed class LibraryFileTests : IDisposable
{
    private readonly string _file = Path.GetTempFileName();

    public void Dispose() => File.Delete(_file);

    // Heads made by hand: ELF (magic, 64 bits, little-endian, ..., machine at 18), PE (MZ, place of the header at 60, machine).
    [Theory]
    [InlineData("7F454C46 02010100 0000000000000000 0300 B700", Architecture.Arm64)]
    [InlineData("7F454C46 02010100 0000000000000000 0300 3E00", Architecture.X64)]
    [InlineData("7F454C46 01010100 0000000000000000 0300 0300", Architecture.X86)]
    [InlineData("7F454C46 01010100 0000000000000000 0300 2800", Architecture.Arm)]
    public void The_head_of_a_library_tells_what_it_is_built_for(string head, Architecture built)
    {
        File.WriteAllBytes(_file, Convert.FromHexString(head.Replace(" ", "", StringComparison.Ordinal)));

        Assert.Equal(
            built == RuntimeInformation.ProcessArchitecture ? null : built,
            LibraryFile.WrongArchitecture(_file)
        );
    }

    [Theory]
    [InlineData((ushort)0xAA64, Architecture.Arm64)]
    [InlineData((ushort)0x8664, Architecture.X64)]
    [InlineData((ushort)0x014C, Architecture.X86)]
    public void So_does_one_of_Windows(ushort machine, Architecture built)
    {
        byte[] head = new byte[128];
        "MZ"u8.CopyTo(head);
        head[60] = 80;
        "PE\0\0"u8.CopyTo(head.AsSpan(80));
        BitConverter.TryWriteBytes(head.AsSpan(84), machine);
        File.WriteAllBytes(_file, head);

        Assert.Equal(
            built == RuntimeInformation.ProcessArchitecture ? null : built,
            LibraryFile.WrongArchitecture(_file)
        );
    }

    [Theory]
    [InlineData("")]
    [InlineData("7F454C46")]
    [InlineData("4D5A")]
    [InlineData("2321")]
    public void What_is_no_library_tells_nothing(string head)
    {
        File.WriteAllBytes(_file, Convert.FromHexString(head));

        Assert.Null(LibraryFile.WrongArchitecture(_file));
    }
}
