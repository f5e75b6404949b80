using System.Reflection;

namespace Dancerwatch.EdgeAgent.Web;

/// <summary>Styles and scripts that are part of the program, so that nothing is loaded from anywhere.</summary>
internal static class WebAsset
{
    /// <summary>Draws charts: uPlot 1.6.32, MIT; its licence lies beside it and goes with it.</summary>
    public static string ChartScript =>
        $"/* {Text("uplot/LICENSE").Replace("*/", "", StringComparison.Ordinal)} */\n{Text("uplot/uPlot.iife.min.js")}";

    public static string ChartStyle => Text("uplot/uPlot.min.css");

    /// <param name="name">A file under this folder, or of the folder that has it, as the project file names it.</param>
    public static string Text(string name)
    {
        using Stream stream =
            Assembly.GetExecutingAssembly().GetManifestResourceStream($"web/{name}")
            ?? throw new InvalidOperationException($"{name} is not part of the program.");
        using StreamReader reader = new(stream);
        return reader.ReadToEnd();
    }
}
