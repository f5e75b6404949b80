using Dancerwatch.VirtualMachine.EtherNetIp;
using static Dancerwatch.VirtualMachine.Tests.EtherNetIp.Cip.Bytes;

namespace Dancerwatch.VirtualMachine.Tests.EtherNetIp.Cip;

/// <summary>Connection manager (CIP volume 1, 3-5; fields and reasons of failure from memory).</summary>
public sealed class ConnectionTests
{
    private readonly Conversation _plc = new();

    public ConnectionTests()
    {
        _plc.Table.AddInt("Gap").Value = 0x1234;
        _plc.Table.AddDints("Weights", 2000);
    }

    [Theory]
    [InlineData(false, "D4")]
    [InlineData(true, "DB")]
    public void A_connection_is_opened_with_both_ids_the_originators_numbers_and_the_intervals(
        bool large,
        string service
    )
    {
        ForwardOpen open = new() { Large = large };

        byte[] reply = _plc.Ask(open.Request);

        Assert.Equal(service + "000000", Convert.ToHexString(reply, 0, 4));
        Assert.NotEqual("00000000", Convert.ToHexString(reply, 4, 4));
        Assert.Equal(
            "0100A5A5" + Convert.ToHexString(open.Identification) + "40420F00" + "40420F00" + "0000",
            Convert.ToHexString(reply[8..])
        );
        Assert.Equal(1, _plc.OpenConnections);
    }

    [Fact]
    public void A_reply_on_a_connection_repeats_the_sequence_and_bears_the_originators_id()
    {
        uint connection = _plc.Open(new());

        byte[] frame = _plc.Answer(SendUnitData(_plc.Handle, connection, 0xBEEF, ReadTag("Gap")));

        Assert.Equal(
            "00000000"
                + "0000"
                + "0200"
                + "A100"
                + "0400"
                + "0100A5A5"
                + "B100"
                + "0A00"
                + "EFBE"
                + "CC000000C3003412",
            Convert.ToHexString(frame[24..])
        );
    }

    [Theory]
    [InlineData(false, 500)]
    [InlineData(false, 511)]
    [InlineData(true, 4002)]
    public void A_reply_is_never_larger_than_the_connection(bool large, int size)
    {
        uint connection = _plc.Open(new() { Large = large, Size = size });

        byte[] reply = _plc.AskConnected(connection, 1, ReadTag("Weights", 2000));

        Assert.Equal(0x06, reply[2]);
        Assert.InRange(reply.Length + 2, size - 3, size);
    }

    [Fact]
    public void A_request_larger_than_the_connection_is_dropped_and_counted()
    {
        uint connection = _plc.Open(new() { Size = 40 });

        Assert.Empty(_plc.AskConnected(connection, 1, [.. ReadTag("Gap"), .. new byte[40]]));
        Assert.Equal(1, _plc.Counters.Malformed);
        Assert.NotEmpty(_plc.AskConnected(connection, 2, ReadTag("Gap")));
    }

    [Fact]
    public void A_closed_connection_is_silent()
    {
        ForwardOpen open = new();
        uint connection = _plc.Open(open);

        Assert.Equal(
            "CE000000" + Convert.ToHexString(open.Identification) + "0000",
            _plc.AskHex(open.CloseRequest)
        );
        Assert.Empty(_plc.AskConnected(connection, 1, ReadTag("Gap")));
        Assert.Equal(0, _plc.OpenConnections);
        Assert.Equal(0, _plc.Counters.RefusedWrites);
    }

    [Fact]
    public void Closing_what_is_not_open_says_that_it_was_not_found()
    {
        ForwardOpen open = new();

        Assert.Equal(
            "CE0001010701" + Convert.ToHexString(open.Identification) + "0000",
            _plc.AskHex(open.CloseRequest)
        );
    }

    [Fact]
    public void A_connection_times_out_after_its_interval_times_the_multiplier_of_silence()
    {
        uint connection = _plc.Open(new() { IntervalMicroseconds = 500_000, Multiplier = 1 }); // 8 x 0.5 s

        _plc.Time.Advance(TimeSpan.FromSeconds(3.9));
        Assert.NotEmpty(_plc.AskConnected(connection, 1, ReadTag("Gap")));
        _plc.Time.Advance(TimeSpan.FromSeconds(3.9));
        Assert.NotEmpty(_plc.AskConnected(connection, 2, ReadTag("Gap")));
        _plc.Time.Advance(TimeSpan.FromSeconds(4.1));
        Assert.Empty(_plc.AskConnected(connection, 3, ReadTag("Gap")));
        Assert.Equal(0, _plc.OpenConnections);
    }

    [Fact]
    public void A_connection_serves_the_session_that_opened_it_alone_and_ends_with_it()
    {
        uint connection = _plc.Open(new());
        var other = _plc.NewSession(0x22);
        other.Answer(RegisterSession());

        Assert.True(other.Answer(SendUnitData(0x22, connection, 1, ReadTag("Gap"))).IsEmpty);
        Assert.NotEmpty(_plc.AskConnected(connection, 1, ReadTag("Gap")));
    }

    public static TheoryData<string, string> Refusals =>
        new()
        {
            { "transport class 1", "0301" },
            { "small, 512 is beyond its field, so the size is zero", "0901" },
            { "large, 4003 bytes", "0901" },
            { "multicast", "2301" },
            { "multiplier 8", "3301" },
            { "interval of 999 us", "1101" },
            { "slot 3", "1203" },
            { "port 2", "1103" },
            { "path to another object", "1503" },
            { "half a path", "1503" },
        };

    [Theory]
    [MemberData(nameof(Refusals))]
    public void A_connection_that_cannot_be_is_refused_with_the_reason(string what, string reason)
    {
        ForwardOpen open = what switch
        {
            "transport class 1" => new() { Transport = 0xA1 },
            "small, 512 is beyond its field, so the size is zero" => new() { Size = 0 },
            "large, 4003 bytes" => new() { Large = true, Size = 4003 },
            "multicast" => new() { Type = 1 },
            "multiplier 8" => new() { Multiplier = 8 },
            "interval of 999 us" => new() { IntervalMicroseconds = 999 },
            "slot 3" => new() { Path = "0103 2002 2401" },
            "port 2" => new() { Path = "0200 2002 2401" },
            "path to another object" => new() { Path = "0100 2004 2401" },
            _ => new() { Path = "0100 2002" },
        };

        string reply = _plc.AskHex(open.Request);

        Assert.EndsWith(
            $"000101{reason}" + Convert.ToHexString(open.Identification) + "0000",
            reply,
            StringComparison.Ordinal
        );
        Assert.Equal(0, _plc.OpenConnections);
    }

    [Fact]
    public void An_electronic_key_in_the_path_opens_any_lock()
    {
        _plc.Open(new() { Path = "0100 3404 0100 0E00 3700 01 01 2002 2401" });

        Assert.StartsWith(
            "D40001011503",
            _plc.AskHex(new ForwardOpen { Serial = 8, Path = "0100 2002 2401 3404" }.Request),
            StringComparison.Ordinal
        );
    }

    [Fact]
    public void The_same_connection_twice_is_a_duplicate()
    {
        _plc.Open(new());

        Assert.StartsWith("D40001010001", _plc.AskHex(new ForwardOpen().Request), StringComparison.Ordinal);
    }

    [Fact]
    public void Connections_are_bounded_and_a_closed_one_makes_room()
    {
        Conversation small = new(new ControllerServerOptions { MaxConnections = 2 });
        ForwardOpen first = new() { Serial = 1 };
        small.Open(first);
        small.Open(new() { Serial = 2 });

        Assert.StartsWith(
            "D40001011301",
            small.AskHex(new ForwardOpen { Serial = 3 }.Request),
            StringComparison.Ordinal
        );
        small.Ask(first.CloseRequest);
        small.Open(new() { Serial = 3 });
    }

    [Fact]
    public void A_controller_without_large_connections_knows_the_small_one_alone()
    {
        Conversation old = new(new ControllerServerOptions { AcceptLargeConnections = false });

        Assert.Equal("DB000800", old.AskHex(new ForwardOpen { Large = true }.Request));
        old.Open(new());
    }

    [Fact]
    public void A_controller_without_connections_serves_unconnected_requests_alone()
    {
        Conversation bare = new(new ControllerServerOptions { AcceptConnections = false });
        bare.Table.AddInt("Gap").Value = 1;

        Assert.Equal("D4000800", bare.AskHex(new ForwardOpen().Request));
        Assert.Equal("CC000000C3000100", bare.AskHex(UnconnectedSend(ReadTag("Gap"))));
    }

    [Fact]
    public void A_forward_open_cut_short_anywhere_has_not_enough_data()
    {
        byte[] request = new ForwardOpen().Request;

        for (int length = 6; length < request.Length; length++)
            Assert.Equal("D4001300", _plc.AskHex(request[..length]));
    }
}
