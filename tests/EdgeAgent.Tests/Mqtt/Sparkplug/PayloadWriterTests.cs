using Dancerwatch.EdgeAgent.Mqtt.Sparkplug;
using FsCheck;
using FsCheck.Xunit;
using Judged = Dancerwatch.EdgeAgent.Tests.Mqtt.Sparkplug.Generated;
using Metric = Dancerwatch.EdgeAgent.Mqtt.Sparkplug.Metric;

namespace Dancerwatch.EdgeAgent.Tests.Mqtt.Sparkplug;

/// <summary>What we write by hand, judged by Google's protocol compiler and library.</summary>
public sealed class PayloadWriterTests
{
    [Property]
    public void Whatever_we_write_is_read_as_we_meant_it(
        long whole,
        double number,
        bool flag,
        NonNull<string> text,
        NonNegativeInt alias,
        byte sequence
    )
    {
        // UTF-8 has no half characters.
        string sent = new([.. text.Get.Where(one => !char.IsSurrogate(one))]);
        Metric[] metrics =
        [
            new(MetricValue.Of(whole), 5) { Name = sent, IsDeclared = true },
            new(MetricValue.Of(number), 6) { Alias = alias.Get },
            new(MetricValue.Of(flag), 7) { Name = "b", IsHistorical = true },
            new(MetricValue.Of(sent), 8) { Name = "c" },
            new(MetricValue.Of(whole, MetricType.DateTime), 9) { Name = "d", IsDeclared = true },
            new(MetricValue.Null(MetricType.Double), 10) { Name = "e", IsDeclared = true },
        ];

        Judged.Payload read = Judged.Payload.Parser.ParseFrom(
            PayloadWriter.Write(1_795_595_400_250, sequence, metrics)
        );

        Assert.Equal(1_795_595_400_250UL, read.Timestamp);
        Assert.Equal(sequence, read.Seq);
        Assert.Equal([5, 6, 7, 8, 9, 10], read.Metrics.Select(one => (int)one.Timestamp));
        Assert.Equal(
            (sent, 4U, whole),
            (read.Metrics[0].Name, read.Metrics[0].Datatype, (long)read.Metrics[0].LongValue)
        );
        Assert.Equal((false, (ulong)alias.Get), (read.Metrics[1].HasName, read.Metrics[1].Alias));
        Assert.Equal(
            BitConverter.DoubleToInt64Bits(number),
            BitConverter.DoubleToInt64Bits(read.Metrics[1].DoubleValue)
        );
        Assert.Equal(
            (flag, true, false),
            (read.Metrics[2].BooleanValue, read.Metrics[2].IsHistorical, read.Metrics[2].HasDatatype)
        );
        Assert.Equal((sent, false), (read.Metrics[3].StringValue, read.Metrics[3].HasIsHistorical));
        Assert.Equal((13U, whole), (read.Metrics[4].Datatype, (long)read.Metrics[4].LongValue));
        Assert.Equal((10U, true), (read.Metrics[5].Datatype, read.Metrics[5].IsNull));
        Assert.Equal(Judged.Metric.ValueOneofCase.None, read.Metrics[5].ValueCase);
    }

    [Fact]
    public void A_death_has_no_sequence_number_at_all()
    {
        Judged.Payload read = Judged.Payload.Parser.ParseFrom(PayloadWriter.Write(1, sequence: null, []));

        Assert.False(read.HasSeq);
        Assert.True(read.HasTimestamp);
    }

    [Fact]
    public void A_name_and_a_number_stand_in_the_bytes_where_the_specification_has_them()
    {
        // By hand from the wire format: field 1 (1), field 2 of 16 bytes: name 1 "a", timestamp 3, datatype 4, double 13; seq 3.
        byte[] expected =
        [
            0x08,
            0x01,
            0x12,
            0x10,
            0x0A,
            0x01,
            0x61,
            0x18,
            0x02,
            0x20,
            0x0A,
            0x69,
            0x00,
            0x00,
            0x00,
            0x00,
            0x00,
            0x00,
            0xF0,
            0x3F,
            0x18,
            0x07,
        ];

        Assert.Equal(
            expected,
            PayloadWriter.Write(1, 7, [new Metric(MetricValue.Of(1.0), 2) { Name = "a", IsDeclared = true }])
        );
    }
}
