using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Reconnect;
using MQTTnet;

namespace Dancerwatch.EdgeAgent.Mqtt;

/// <summary>Told how it goes with a broker. Troubles are sentences that go after the broker's name.</summary>
internal interface IBrokerObserver
{
    void Connected();

    void ConnectFailed(string trouble, TimeSpan nextTry);

    void ConnectionLost(string trouble);

    /// <summary>Files it was connected with have been renewed: the connection is ended, and made anew with them.</summary>
    void FilesRenewed();

    /// <summary>Files it was connected with have been renewed, and cannot be used: the connection stays as it is.</summary>
    void RenewalUnusable(string trouble);
}

/// <summary>
/// Keeps a client connected to a broker: connects, runs a session for as long as the connection lasts, connects again.
/// </summary>
internal sealed class BrokerConnection(
    BrokerSettings settings,
    IBrokerSession session,
    IBrokerObserver observer,
    TimeProvider time
)
{
    public static readonly TimeSpan ConnectTimeout = TimeSpan.FromSeconds(10);

    /// <summary>How long a session may say goodbye when asked to stop.</summary>
    private static readonly TimeSpan s_goodbyeTime = TimeSpan.FromSeconds(2);

    /// <summary>Longest pause between two attempts.</summary>
    private static readonly TimeSpan s_longestPause = TimeSpan.FromSeconds(5);

    /// <summary>Two connections begin at least this far apart, whatever ends them: two clients of one name would else throw each other out without end.</summary>
    private static readonly TimeSpan s_shortestCycle = TimeSpan.FromSeconds(1);

    private static readonly MqttClientFactory s_clients = new();

    private readonly ConnectFiles _files = new(settings, time);
    private bool _willArrived;

    /// <summary>Runs until <paramref name="cancellation"/>; then says goodbye and returns.</summary>
    public async Task RunAsync(CancellationToken cancellation)
    {
        Reconnector<BrokerLink> reconnector = new(
            ConnectAsync,
            (failure, pause) => observer.ConnectFailed(failure.Message, pause),
            new ReconnectBackoff(s_longestPause),
            time
        );
        try
        {
            while (true)
            {
                long begun = time.GetTimestamp();
                using BrokerLink link = await reconnector.Start(cancellation).Connected;
                observer.Connected();
                await RunSessionAsync(link, cancellation);
                TimeSpan early = s_shortestCycle - time.GetElapsedTime(begun);
                if (early > TimeSpan.Zero)
                    await Task.Delay(early, time, cancellation);
            }
        }
        catch (OperationCanceledException) when (cancellation.IsCancellationRequested) { }
    }

    private async Task RunSessionAsync(BrokerLink link, CancellationToken cancellation)
    {
        using CancellationTokenSource end = CancellationTokenSource.CreateLinkedTokenSource(cancellation);
        Task<bool> renewal = EndWhenRenewedAsync(link.Files, end);
        string? loss = null;
        bool isDone = false;
        Task OnLost(MqttClientDisconnectedEventArgs args)
        {
            loss ??= BrokerTrouble.OfLoss(args, settings.ClientId);
            return end.CancelAsync();
        }
        link.Client.DisconnectedAsync += OnLost;
        try
        {
            // Between connecting and listening it may have been lost already.
            if (link.Client.IsConnected)
            {
                await session.RunAsync(link, end.Token);
                isDone = !end.IsCancellationRequested;
            }
        }
        catch (OperationCanceledException) when (end.IsCancellationRequested) { }
        catch (Exception failure) when (BrokerTrouble.IsOfTheConnection(failure))
        {
            loss ??=
                failure is BrokerException
                    ? failure.Message
                    : $"is gone ({failure.GetBaseException().Message.TrimEnd('.')})";
        }
        finally
        {
            link.Client.DisconnectedAsync -= OnLost;
            await end.CancelAsync();
        }
        bool isRenewed = await renewal;
        if (cancellation.IsCancellationRequested)
            await SayGoodbyeAsync(link, forGood: true);
        else if (loss is null && (isRenewed || isDone))
        {
            if (isRenewed)
                observer.FilesRenewed();
            await SayGoodbyeAsync(link, forGood: false);
        }
        else
            observer.ConnectionLost(loss ?? "closed the connection");
    }

    /// <returns>Whether it ended the session; false where the session ended otherwise.</returns>
    private async Task<bool> EndWhenRenewedAsync(ConnectFiles.Stamp files, CancellationTokenSource end)
    {
        try
        {
            await _files.RenewedAsync(files, observer.RenewalUnusable, end.Token);
            await end.CancelAsync();
            return true;
        }
        catch (OperationCanceledException)
        {
            return false;
        }
    }

    private async Task SayGoodbyeAsync(BrokerLink link, bool forGood)
    {
        using CancellationTokenSource limit = new(s_goodbyeTime, time);
        try
        {
            if (link.Client.IsConnected)
            {
                await session.SayGoodbyeAsync(link, forGood, limit.Token);
                await link.Client.DisconnectAsync(
                    new MqttClientDisconnectOptions
                    {
                        Reason = link.IsWillAlwaysSaid
                            ? MqttClientDisconnectOptionsReason.DisconnectWithWillMessage
                            : MqttClientDisconnectOptionsReason.NormalDisconnection,
                    },
                    limit.Token
                );
            }
        }
        catch (Exception failure)
            when (failure is OperationCanceledException || BrokerTrouble.IsOfTheConnection(failure))
        {
            // The broker is gone; the last will speaks for us.
        }
    }

    private async ValueTask<BrokerLink> ConnectAsync(CancellationToken cancellation)
    {
        ConnectFiles.Stamp files = _files.Now();
        LastWill? will = session.NextWill(_willArrived);
        _willArrived = false;
        ConnectOptions attempt = ConnectOptions.Of(settings, will);
        using CancellationTokenSource limit = new(ConnectTimeout, time);
        using CancellationTokenSource either = CancellationTokenSource.CreateLinkedTokenSource(
            limit.Token,
            cancellation
        );
        IMqttClient client = s_clients.CreateMqttClient();
        try
        {
            MqttClientConnectResult result = await client.ConnectAsync(attempt.Options, either.Token);
            _willArrived = true;
            if (result.ResultCode != MqttClientConnectResultCode.Success)
                throw new BrokerException(BrokerTrouble.OfRefusal(result, settings.UserName));
            return new BrokerLink(client, files, result.MaximumPacketSize)
            {
                IsWillAlwaysSaid = will?.IsAlwaysSaid == true,
            };
        }
        catch (Exception failure)
            when (!cancellation.IsCancellationRequested && failure is not BrokerException)
        {
            client.Dispose();
            _willArrived = !BrokerTrouble.IsBeforeAnythingWasSent(failure);
            throw new BrokerException(
                BrokerTrouble.OfConnecting(failure, settings.Tls is not null, attempt.CertificateFinding),
                failure
            );
        }
        catch
        {
            client.Dispose();
            throw;
        }
    }
}
