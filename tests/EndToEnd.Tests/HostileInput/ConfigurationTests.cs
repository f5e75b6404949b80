using System.Text;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.EndToEnd.Tests.Outbox;

namespace Dancerwatch.EndToEnd.Tests.HostileInput;

[Collection(nameof(Hostile))]
public sealed class ConfigurationTests
{
    /// <summary>More than a machine's windows may take, whatever poll and resolution, bytes.</summary>
    private const long MostOfOneMachine = 256 << 20;

    [Fact]
    public void Every_bent_configuration_is_refused_in_words_or_can_be_watched()
    {
        string[] corpus =
        [
            File.ReadAllText(RepositoryFiles.PathOf("config", "example.jsonc")),
            File.ReadAllText(RepositoryFiles.PathOf("config", "tea-hall.jsonc")),
        ];
        int configurations = Torture.Rounds(2_000, 100_000);
        int seed = Torture.Chance().Next();
        Random random = new(seed);
        Tally tally = new("configurations");
        while (tally.Count < configurations)
        {
            if (tally.Count > configurations / 5)
                tally.IsWarm();
            byte[] bent = BentText.Of(corpus, random);
            tally.Begin();
            SettingsResult result = SettingsFile.Parse(bent, "/etc/dancerwatch");
            Assert.True(result.Settings is null == result.Errors.Count > 0, Encoding.UTF8.GetString(bent));
            Assert.All(result.Errors, error => Assert.InRange(error.ToString().Length, 10, 4_000));
            tally.End(result.Settings is { } settings ? Watch(settings) : "refused");
        }
        tally.Close($"{corpus.Length} files, seed {seed}");
        Assert.True(tally.Of("accepted") > configurations / 100, "hardly one was accepted");
    }

    /// <summary>What was accepted must be of use.</summary>
    private static string Watch(AgentSettings settings)
    {
        foreach (WatchedMachineSettings machine in settings.Machines)
        {
            long before = GC.GetAllocatedBytesForCurrentThread();
            _ = new MachineWatch(
                MachinePlace.Of(settings, machine),
                machine.Machine,
                static _ => DateTimeOffset.UnixEpoch,
                new Unheard()
            );
            Assert.InRange(GC.GetAllocatedBytesForCurrentThread() - before, 0, MostOfOneMachine);
        }
        return "accepted";
    }

    private sealed class Unheard : IEventSink
    {
        public void Raise(MachineEvent raised) { }
    }
}
