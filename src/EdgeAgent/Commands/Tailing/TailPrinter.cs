using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Mqtt;

namespace Dancerwatch.EdgeAgent.Commands.Tailing;

/// <summary>
/// Prints what <c>tail</c> hears; troubles go to the error writer. A broker that cannot be reached at the first try is an
/// answer; one that is lost later is waited for.
/// </summary>
/// <param name="giveUp">Ends the listening.</param>
internal sealed class TailPrinter(MqttSettings settings, TailVoice voice, TextWriter error, Action giveUp)
    : IEventListenerSink
{
    private readonly string _broker = $"broker at {settings.Host}:{settings.Port}";
    private bool _everConnected;
    private string? _toldTrouble;

    /// <summary>The broker could not be reached, or does not let us listen.</summary>
    public bool GaveUp { get; private set; }

    public void Connected()
    {
        error.WriteLine($"Listening to the {_broker}. Ctrl-C ends.");
        _everConnected = true;
        _toldTrouble = null;
    }

    public void ConnectFailed(string trouble, TimeSpan nextTry)
    {
        if (!_everConnected)
            Refused(trouble);
        else if (trouble != _toldTrouble)
            error.WriteLine($"The {_broker} {trouble}. Trying on.");
        _toldTrouble = trouble;
    }

    public void ConnectionLost(string trouble) =>
        error.WriteLine(
            $"Lost the {_broker}: it {trouble}. Connecting again; warnings of meanwhile are missed."
        );

    public void FilesRenewed() =>
        error.WriteLine($"Files for the {_broker} have been renewed: connecting anew.");

    public void RenewalUnusable(string trouble) =>
        error.WriteLine($"The {_broker} {trouble}. That file is new; listening on by the old one.");

    public void Refused(string trouble)
    {
        // The attempt after the one that was given up on may still report.
        if (!GaveUp)
            error.WriteLine($"The {_broker} {trouble}.");
        GaveUp = true;
        giveUp();
    }

    public void Heard(ReceivedEvent heard)
    {
        voice.Say(heard);
        if (voice.IsDone)
            giveUp();
    }

    public void Heard(ReceivedLoss heard) => voice.Say(heard);

    public void NotUnderstood(string topic, string problem) =>
        error.WriteLine($"Something on {topic} is not one of our events: {problem}");
}
