using System.Runtime.InteropServices;

namespace Dancerwatch.EdgeAgent.Controllers.Libplctag;

/// <summary>Finds and loads the native library, once in the life of the program.</summary>
internal static class PlcTagLibrary
{
    /// <summary>Names the library's file; no other is then looked for.</summary>
    public const string Variable = "DANCERWATCH_LIBPLCTAG";

    // What it was tried with is 2.5.5; the calls are the same in all of 2.5 and later.
    private const int Major = 2;
    private const int LeastMinor = 5;

    private static readonly Lazy<string?> s_trouble = new(Load);

    /// <summary>Why the library cannot be used, where it was looked for, and what to do: one sentence; null where it can.</summary>
    public static string? Trouble => s_trouble.Value;

    private static string? Load()
    {
        string? named = Environment.GetEnvironmentVariable(Variable);
        string[] files = string.IsNullOrEmpty(named) ? BesideTheProgram() : [named];
        foreach (string file in files.Where(File.Exists))
        {
            if (LibraryFile.WrongArchitecture(file) is { } built)
                return $"libplctag at {file} is built for {Of(built)}, and this program runs on {Of(RuntimeInformation.ProcessArchitecture)}. Get it for {Of(RuntimeInformation.ProcessArchitecture)}";
            return NativeLibrary.TryLoad(file, out nint loaded)
                ? Take(loaded, file)
                : $"libplctag at {file} cannot be loaded: it is no native library of this system, or needs another that is not there";
        }
        string[] names = string.IsNullOrEmpty(named) ? LoaderNames() : [];
        foreach (string name in names)
        {
            if (NativeLibrary.TryLoad(name, out nint loaded))
                return Take(loaded, name);
        }
        string places = string.Join(", ", files);
        string loader =
            names.Length > 0 ? $", and as {string.Join(" or ", names)} where the system's loader looks" : "";
        return $"libplctag was not found. Looked for at {places}{loader}. Install it, name its file in the environment variable {Variable}, or set driver to \"ethernet-ip\"";
    }

    private static string? Take(nint library, string place)
    {
        NativeLibrary.SetDllImportResolver(
            typeof(PlcTag).Assembly,
            (name, _, _) => name == PlcTag.Library ? library : 0
        );
        if (!NativeLibrary.TryGetExport(library, "plc_tag_get_raw_bytes", out _))
            return $"{place} is no libplctag of version {Major}.{LeastMinor} or later: it has no plc_tag_get_raw_bytes. Get a later one";
        if (PlcTag.CheckVersion(Major, LeastMinor, 0) == PlcTag.Ok)
            return null;
        int Part(string name) => PlcTag.IntAttribute(PlcTag.WholeLibrary, name, -1);
        return $"libplctag at {place} is version {Part("version_major")}.{Part("version_minor")}.{Part("version_patch")}; needed is {Major}.{LeastMinor} or a later {Major}. Get such a one";
    }

    private static string[] BesideTheProgram()
    {
        string system =
            OperatingSystem.IsWindows() ? "win"
            : OperatingSystem.IsMacOS() ? "osx"
            : "linux";
        string here = AppContext.BaseDirectory;
        string file = FileName;
        return
        [
            Path.Combine(here, file),
            Path.Combine(
                here,
                "runtimes",
                $"{system}-{Of(RuntimeInformation.ProcessArchitecture)}",
                "native",
                file
            ),
        ];
    }

    private static string FileName =>
        OperatingSystem.IsWindows() ? "plctag.dll"
        : OperatingSystem.IsMacOS() ? "libplctag.dylib"
        : "libplctag.so";

    private static string[] LoaderNames() =>
        OperatingSystem.IsLinux() ? [FileName, "libplctag.so.2"] : [FileName];

    private static string Of(Architecture architecture) =>
        architecture switch
        {
            Architecture.X64 => "x64",
            Architecture.X86 => "x86",
            Architecture.Arm64 => "arm64",
            Architecture.Arm => "arm",
            _ => architecture.ToString(),
        };
}
