namespace Dancerwatch.EndToEnd.Tests.Outbox;

/// <summary>How long the tests go on that gain by going on. DEVELOPERS.md tells of the switch.</summary>
internal static class Torture
{
    private static readonly bool s_long = Environment.GetEnvironmentVariable("DANCERWATCH_TORTURE") == "long";

    /// <summary>How often to do it.</summary>
    public static int Rounds(int usual, int atLength) => s_long ? atLength : usual;

    /// <summary>Another run, another chance; the seed is told, so that one that failed can be looked into.</summary>
    public static Random Chance()
    {
        int seed = Random.Shared.Next();
        Say($"seed {seed}");
        return new Random(seed);
    }

    public static void Say(string line) => TestContext.Current.TestOutputHelper?.WriteLine(line);
}
