namespace Dancerwatch.EdgeAgent.Mqtt;

/// <summary>What one of our clients does over its connections to a broker, one after the other.</summary>
internal interface IBrokerSession
{
    /// <summary>The last will for the next attempt to connect; null for none.</summary>
    /// <param name="lastArrived">Whether the one before it may have reached the broker.</param>
    LastWill? NextWill(bool lastArrived) => null;

    /// <summary>
    /// Runs while connected; the token is cancelled when the connection is lost or is to end. To return before that is to ask
    /// for another connection, once this one is ended in good order.
    /// </summary>
    Task RunAsync(BrokerLink link, CancellationToken cancellation);

    /// <summary>The last thing to do over a connection that we end.</summary>
    /// <param name="forGood">Whether no other connection follows.</param>
    Task SayGoodbyeAsync(BrokerLink link, bool forGood, CancellationToken cancellation) => Task.CompletedTask;
}
