using System.Text;
using System.Text.Json;
using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Outbox.Disk;

namespace Dancerwatch.EdgeAgent.Tests.Outbox.Disk;

public sealed class RejectedFileTests
{
    private readonly FragileFolder _folder = new();

    private static OutboxEntry Entry(int number) =>
        new(number, "/a", $"{number}", null, JsonSerializer.SerializeToUtf8Bytes(new { id = number }));

    [Fact]
    public void Each_is_a_line_with_the_brokers_answer()
    {
        RejectedFile rejected = new(_folder);

        rejected.Add(Entry(1), "NotAuthorized");
        rejected.Add(Entry(2), "PacketTooLarge");

        Assert.Equal(
            """
            {"answer":"NotAuthorized","event":{"id":1}}
            {"answer":"PacketTooLarge","event":{"id":2}}

            """,
            Read(RejectedFile.Name)
        );
    }

    [Fact]
    public void It_does_not_grow_without_end_and_the_latest_is_kept()
    {
        RejectedFile rejected = new(_folder);
        OutboxEntry large = Entry(1) with
        {
            Payload = JsonSerializer.SerializeToUtf8Bytes(new { text = new string('x', 100_000) }),
        };

        for (int i = 0; i < 40; i++)
            rejected.Add(large, "NotAuthorized");
        rejected.Add(Entry(2), "NotAuthorized");

        Assert.InRange(_folder.Used, 1, 1 << 20);
        Assert.EndsWith("{\"id\":2}}\n", Read(RejectedFile.Name), StringComparison.Ordinal);
    }

    private string Read(string name)
    {
        using IStateFile file = _folder.Open(name);
        byte[] bytes = new byte[file.Length];
        file.Read(0, bytes);
        return Encoding.UTF8.GetString(bytes);
    }
}
