using System.Net;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Tests.Controllers.EtherNetIp;
using Dancerwatch.VirtualMachine.EtherNetIp;
using Dancerwatch.VirtualMachine.Tags;

namespace Dancerwatch.EdgeAgent.Tests.Controllers.Libplctag;

/// <summary>What the driver cannot do, so that the page on it stays true.</summary>
public sealed class SameSizeTests
{
    [Fact]
    public async Task Another_type_of_the_same_size_is_taken_for_the_one_configured()
    {
        TagTable table = new();
        table.AddReal("Speed").Value = 1;
        await using ControllerServer server = new(table, new ControllerServerOptions(), TimeProvider.System);
        server.Start(new IPEndPoint(IPAddress.Loopback, 0));
        await using ITagReader reader = Drivers.To(
            "libplctag",
            server.EndPoint.Port,
            [new TagRequest("Speed", TagType.Dint)]
        );

        TagSnapshot snapshot = await reader.ReadAsync();

        // The bits of 1.0 in IEEE 754, read as a whole number.
        Assert.Equal([0x3F80_0000], snapshot.Numbers);
        Assert.Null(reader.TagTrouble(0));
    }
}
