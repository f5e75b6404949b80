using System.Buffers.Binary;
using System.Runtime.InteropServices;

namespace Dancerwatch.EdgeAgent.Controllers.Libplctag;

/// <summary>Looks into the head of a native library: the loader's own words for a wrong one help nobody.</summary>
internal static class LibraryFile
{
    // ELF header: magic, then the machine at byte 18 (System V ABI, ELF-64 object file format; from memory).
    private const int ElfMachineOffset = 18;

    // PE: "MZ", the header's place at byte 60, "PE\0\0", then the machine (PE format; from memory).
    private const int PeHeaderOffset = 60;
    private const int HeadLength = 4096;

    /// <summary>What the file is built for, where it says so and it is not this program's; null otherwise.</summary>
    public static Architecture? WrongArchitecture(string path)
    {
        byte[] head = new byte[HeadLength];
        using FileStream file = File.OpenRead(path);
        int length = file.ReadAtLeast(head, HeadLength, throwOnEndOfStream: false);
        Architecture? built = ArchitectureOf(head.AsSpan(0, length));
        return built == RuntimeInformation.ProcessArchitecture ? null : built;
    }

    private static Architecture? ArchitectureOf(ReadOnlySpan<byte> head)
    {
        if (head.StartsWith("\u007fELF"u8) && head.Length >= ElfMachineOffset + sizeof(ushort))
        {
            return BinaryPrimitives.ReadUInt16LittleEndian(head[ElfMachineOffset..]) switch
            {
                0x03 => Architecture.X86,
                0x28 => Architecture.Arm,
                0x3E => Architecture.X64,
                0xB7 => Architecture.Arm64,
                _ => null,
            };
        }
        if (!head.StartsWith("MZ"u8) || head.Length < PeHeaderOffset + sizeof(int))
            return null;
        int at = BinaryPrimitives.ReadInt32LittleEndian(head[PeHeaderOffset..]);
        if (at < 0 || at > head.Length - 6 || !head[at..].StartsWith("PE\0\0"u8))
            return null;
        return BinaryPrimitives.ReadUInt16LittleEndian(head[(at + 4)..]) switch
        {
            0x014C => Architecture.X86,
            0x01C4 => Architecture.Arm,
            0x8664 => Architecture.X64,
            0xAA64 => Architecture.Arm64,
            _ => null,
        };
    }
}
