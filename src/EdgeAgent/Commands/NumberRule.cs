using System.CommandLine;
using System.CommandLine.Parsing;
using System.Globalization;

namespace Dancerwatch.EdgeAgent.Commands;

/// <summary>Options that are a number within bounds: whatever else is typed gets one sentence, and the same.</summary>
internal static class NumberRule
{
    /// <param name="says">What is said otherwise: the option, what is allowed, what to try.</param>
    public static void MustBe(this Option<double> option, double least, double most, string says) =>
        option.CustomParser = result => Parse(result, least, most, says) ?? double.NaN;

    /// <inheritdoc cref="MustBe(Option{double}, double, double, string)"/>
    public static void MustBe(this Option<double?> option, double least, double most, string says) =>
        option.CustomParser = result => Parse(result, least, most, says);

    /// <summary>A whole number.</summary>
    /// <inheritdoc cref="MustBe(Option{double}, double, double, string)"/>
    public static void MustBe(this Option<int?> option, int least, int most, string says) =>
        option.CustomParser = result =>
        {
            if (
                int.TryParse(Typed(result), CultureInfo.InvariantCulture, out int number)
                && number >= least
                && number <= most
            )
                return number;
            result.AddError(says);
            return null;
        };

    private static double? Parse(ArgumentResult result, double least, double most, string says)
    {
        if (
            double.TryParse(Typed(result), CultureInfo.InvariantCulture, out double number)
            && number >= least
            && number <= most
        )
            return number;
        result.AddError(says);
        return null;
    }

    private static string Typed(ArgumentResult result) => result.Tokens[0].Value;
}
