using System.Runtime.InteropServices;

namespace Dancerwatch.EdgeAgent.Controllers.Libplctag;

/// <summary>
/// The functions of the native library that are used, and no others: those that read and what carries it. The library has
/// functions that change tags; they are not imported, and a test holds that they are not.
/// </summary>
internal static partial class PlcTag
{
    /// <summary>Resolved by <see cref="PlcTagLibrary"/>.</summary>
    public const string Library = "plctag";

    /// <summary>Returned by calls that wait for nothing, while the library is at it.</summary>
    public const int Pending = 1;
    public const int Ok = 0;

    /// <summary>Of the library as a whole, for <see cref="IntAttribute"/>.</summary>
    public const int WholeLibrary = 0;

    /// <returns><see cref="Ok"/> where the library is of that major version, and at least that old.</returns>
    [LibraryImport(Library, EntryPoint = "plc_tag_check_lib_version")]
    public static partial int CheckVersion(int major, int minor, int patch);

    [LibraryImport(
        Library,
        EntryPoint = "plc_tag_get_int_attribute",
        StringMarshalling = StringMarshalling.Utf8
    )]
    public static partial int IntAttribute(int tag, string name, int fallback);

    /// <summary>Makes a handle for a tag.</summary>
    /// <param name="attributes">Keys and values as in a URL's query.</param>
    /// <param name="timeout">ms; 0: begins only.</param>
    /// <returns>The handle, above 0; or an error, below.</returns>
    [LibraryImport(Library, EntryPoint = "plc_tag_create", StringMarshalling = StringMarshalling.Utf8)]
    public static partial int Create(string attributes, int timeout);

    /// <summary>May wait for the network.</summary>
    [LibraryImport(Library, EntryPoint = "plc_tag_destroy")]
    public static partial int Destroy(int tag);

    /// <param name="timeout">ms; 0: begins only.</param>
    [LibraryImport(Library, EntryPoint = "plc_tag_read")]
    public static partial int Read(int tag, int timeout);

    /// <summary>How the last call for the tag stands.</summary>
    [LibraryImport(Library, EntryPoint = "plc_tag_status")]
    public static partial int Status(int tag);

    /// <returns>Bytes of the tag's value; below 0: an error.</returns>
    [LibraryImport(Library, EntryPoint = "plc_tag_get_size")]
    public static partial int Size(int tag);

    /// <summary>Copies the value that was read last.</summary>
    [LibraryImport(Library, EntryPoint = "plc_tag_get_raw_bytes")]
    public static partial int RawBytes(int tag, int offset, Span<byte> into, int length);

    /// <returns>The error's name in ASCII; owned by the library.</returns>
    [LibraryImport(Library, EntryPoint = "plc_tag_decode_error")]
    private static partial nint ErrorName(int error);

    public static string NameOf(int error) => Marshal.PtrToStringUTF8(ErrorName(error)) ?? "no name";
}
