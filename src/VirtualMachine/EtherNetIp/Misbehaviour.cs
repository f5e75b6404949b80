namespace Dancerwatch.VirtualMachine.EtherNetIp;

/// <summary>A reply about to go out.</summary>
/// <param name="Frame">The whole frame, as an honest controller would send it.</param>
/// <param name="Client">Where it goes.</param>
/// <param name="Number">Of the replies of this TCP client, from 0.</param>
/// <param name="Time">The server's clock.</param>
public readonly record struct OutgoingReply(
    ReadOnlyMemory<byte> Frame,
    Stream Client,
    int Number,
    TimeProvider Time
);

/// <summary>
/// A way for the controller to be bad company, so that clients can be tried against it: set
/// <see cref="ControllerServer.Misbehaviour"/>, at any time.
/// </summary>
public abstract class Misbehaviour
{
    /// <summary>Answers nothing.</summary>
    public static Misbehaviour Silence { get; } = new Custom((_, _) => ValueTask.FromResult(true));

    /// <summary>Hangs up when it should answer.</summary>
    public static Misbehaviour HangUp { get; } = new Custom((_, _) => ValueTask.FromResult(false));

    /// <summary>Sends the first half of each reply, and then no more of it.</summary>
    public static Misbehaviour HalfAFrame { get; } =
        new Custom(
            (reply, cancellation) => Send(reply, reply.Frame[..(reply.Frame.Length / 2)], cancellation)
        );

    /// <summary>Sends bytes of chance in place of each reply, as many.</summary>
    public static Misbehaviour Garbage(int seed)
    {
        Random random = new(seed);
        return new Custom(
            (reply, cancellation) =>
            {
                byte[] bytes = new byte[reply.Frame.Length];
                lock (random)
                    random.NextBytes(bytes);
                return Send(reply, bytes, cancellation);
            }
        );
    }

    /// <summary>Keeps each reply back for a while.</summary>
    public static Misbehaviour Delay(TimeSpan delay) =>
        new Custom(
            async (reply, cancellation) =>
            {
                await Task.Delay(delay, reply.Time, cancellation);
                return await Send(reply, reply.Frame, cancellation);
            }
        );

    /// <summary>Sends each reply in two parts with a pause between: the first of so many bytes, then the rest.</summary>
    public static Misbehaviour SplitAt(int bytes, TimeSpan pause) =>
        new Custom(
            async (reply, cancellation) =>
            {
                int first = Math.Min(bytes, reply.Frame.Length);
                await Send(reply, reply.Frame[..first], cancellation);
                await Task.Delay(pause, reply.Time, cancellation);
                return await Send(reply, reply.Frame[first..], cancellation);
            }
        );

    /// <summary>Behaves for the first replies to each client, then so.</summary>
    public Misbehaviour After(int replies) =>
        new Custom(
            (reply, cancellation) =>
                reply.Number < replies
                    ? Send(reply, reply.Frame, cancellation)
                    : SendAsync(reply, cancellation)
        );

    /// <summary>Sends the reply, or what stands for it.</summary>
    /// <returns>False: hang up on the client.</returns>
    protected internal abstract ValueTask<bool> SendAsync(
        OutgoingReply reply,
        CancellationToken cancellation
    );

    private static async ValueTask<bool> Send(
        OutgoingReply reply,
        ReadOnlyMemory<byte> bytes,
        CancellationToken cancellation
    )
    {
        await reply.Client.WriteAsync(bytes, cancellation);
        return true;
    }

    private sealed class Custom(Func<OutgoingReply, CancellationToken, ValueTask<bool>> send) : Misbehaviour
    {
        protected internal override ValueTask<bool> SendAsync(
            OutgoingReply reply,
            CancellationToken cancellation
        ) => send(reply, cancellation);
    }
}
