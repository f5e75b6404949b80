using System.Net.Sockets;
using System.Security.Authentication;
using System.Security.Cryptography;
using Dancerwatch.EdgeAgent.Configuration;
using MQTTnet;
using MQTTnet.Exceptions;

namespace Dancerwatch.EdgeAgent.Mqtt;

/// <summary>The broker could not be used. The message is one sentence that goes after its name: what happened and what to try.</summary>
internal sealed class BrokerException(string message, Exception? inner = null) : Exception(message, inner);

/// <summary>Puts what went wrong with a broker into words: what, and what to try.</summary>
internal static class BrokerTrouble
{
    public static bool IsOfTheConnection(Exception failure) =>
        failure
            is BrokerException
                or MqttCommunicationException
                or SocketException
                or IOException
                or AuthenticationException
                or TimeoutException
                or ObjectDisposedException;

    /// <summary>Whether an attempt to connect failed before the broker can have heard of us. In doubt it was not.</summary>
    public static bool IsBeforeAnythingWasSent(Exception failure) =>
        Cause<SocketException>(failure)?.SocketErrorCode
            is SocketError.ConnectionRefused
                or SocketError.HostNotFound
                or SocketError.TryAgain
                or SocketError.NoData
                or SocketError.HostUnreachable
                or SocketError.NetworkUnreachable
                or SocketError.NetworkDown;

    /// <param name="certificateFinding">What was found wrong with the broker's certificate; null for nothing.</param>
    public static string OfConnecting(Exception failure, bool tls, string? certificateFinding)
    {
        if (certificateFinding is not null)
            return certificateFinding;
        return Cause<SocketException>(failure) is { } socket ? OfSocket(socket.SocketErrorCode, tls)
            : failure is OperationCanceledException or TimeoutException or MqttCommunicationTimedOutException
                ? tls ? "did not answer in time; is this its TLS port?"
                    : "did not answer in time; does it expect TLS there?"
            : Cause<AuthenticationException>(failure) is { } refused
                ? $"and we agree on no TLS connection ({Innermost(refused)}); does it expect a client certificate, and one of another authority?"
            : tls
                ? $"broke the connection off ({Innermost(failure)}); it may expect another client certificate, or no TLS on this port"
            : $"broke the connection off ({Innermost(failure)}); it may expect TLS on this port";
    }

    public static string OfRefusal(MqttClientConnectResult result, string? userName)
    {
        string who = userName is null ? "a client without user name" : $"user '{userName}'";
        string words = result.ResultCode switch
        {
            MqttClientConnectResultCode.BadUserNameOrPassword =>
                $"does not accept {who} with this password; check userName and passwordFile",
            MqttClientConnectResultCode.NotAuthorized =>
                $"does not let {who} in; check userName, passwordFile and the broker's access list",
            MqttClientConnectResultCode.Banned => $"has banned {who}; ask who runs it",
            MqttClientConnectResultCode.ClientIdentifierNotValid =>
                "does not accept the client identifier; change clientId",
            MqttClientConnectResultCode.UnsupportedProtocolVersion =>
                "speaks no MQTT 5; it needs a newer version",
            _ => $"refuses the connection: {result.ResultCode}",
        };
        return string.IsNullOrEmpty(result.ReasonString)
            ? words
            : $"{words} (it says: {result.ReasonString})";
    }

    public static string OfLoss(MqttClientDisconnectedEventArgs loss, string clientId) =>
        loss.Reason switch
        {
            MqttClientDisconnectReason.SessionTakenOver =>
                $"gave our place to another client that also calls itself '{clientId}'; give each its own clientId",
            MqttClientDisconnectReason.NotAuthorized =>
                "withdrew our permission; check the broker's access list",
            MqttClientDisconnectReason.ServerShuttingDown => "is shutting down",
            MqttClientDisconnectReason.KeepAliveTimeout => "heard nothing from us for too long",
            MqttClientDisconnectReason.NormalDisconnection or MqttClientDisconnectReason.UnspecifiedError =>
                loss.Exception is { } failure ? $"is gone ({Innermost(failure)})" : "closed the connection",
            _ => $"closed the connection: {loss.Reason}",
        };

    /// <summary>Trouble with a file of ours that is needed to connect.</summary>
    public static BrokerException OfFile(string key, string path, Exception failure) =>
        path.Contains(FileNames.Credential, StringComparison.Ordinal)
            ? new(
                $"cannot be reached without {key} {path}: systemd handed no credentials over; is LoadCredential= in the unit, and was it systemd that started this?",
                failure
            )
        : failure is CryptographicException or ArgumentException
            ? new(
                $"cannot be reached with {key} {path}: no usable PEM file, or not of one pair ({failure.Message})",
                failure
            )
        : new($"cannot be reached without {key} {path}: {failure.Message}", failure);

    private static string OfSocket(SocketError error, bool tls) =>
        error switch
        {
            SocketError.ConnectionRefused =>
                "refuses connections on this port; is the broker running, and is this its port?",
            SocketError.HostNotFound or SocketError.TryAgain or SocketError.NoData =>
                "is not known by that name; check host, or give its address",
            SocketError.TimedOut => "did not answer in time; check host, port and what lies between",
            SocketError.HostUnreachable or SocketError.NetworkUnreachable or SocketError.NetworkDown =>
                "cannot be reached from here; check host, cable and route",
            SocketError.ConnectionReset
            or SocketError.ConnectionAborted
            or SocketError.NotConnected
            or SocketError.Shutdown => tls
                ? "broke the connection off; it may expect another client certificate, or no TLS on this port"
                : "broke the connection off; it may expect TLS on this port",
            _ => $"cannot be reached: {error}",
        };

    private static string Innermost(Exception failure) => failure.GetBaseException().Message.TrimEnd('.');

    private static T? Cause<T>(Exception? failure)
        where T : Exception
    {
        for (; failure is not null; failure = failure.InnerException)
        {
            if (failure is T cause)
                return cause;
        }
        return null;
    }
}
