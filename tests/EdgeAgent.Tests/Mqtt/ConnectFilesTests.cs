using System.Collections.Concurrent;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Mqtt;
using Microsoft.Extensions.Time.Testing;

namespace Dancerwatch.EdgeAgent.Tests.Mqtt;

public sealed class ConnectFilesTests : IDisposable
{
    private readonly HallCertificates _certificates = new();
    private readonly FakeTimeProvider _time = new();
    private readonly ConcurrentQueue<string> _unusable = [];
    private readonly CancellationTokenSource _end = new();
    private readonly MqttTlsSettings _tls;
    private readonly Task _renewed;

    public ConnectFilesTests()
    {
        (string certificate, string key) = _certificates.Sign("tea-hall", server: false);
        _tls = new MqttTlsSettings
        {
            CaFile = _certificates.CaFile,
            ClientCertificateFile = certificate,
            ClientKeyFile = key,
        };
        ConnectFiles files = new(new MqttSettings { Host = "127.0.0.1", Tls = _tls }, _time);
        _renewed = files.RenewedAsync(files.Now(), _unusable.Enqueue, _end.Token);
    }

    [Fact]
    public async Task A_new_certificate_and_key_are_noticed()
    {
        _time.Advance(10 * ConnectFiles.LookEvery);
        Assert.False(_renewed.IsCompleted);

        Renew();

        await LookUntilAsync(() => _renewed.IsCompletedSuccessfully);
        Assert.Empty(_unusable);
    }

    [Fact]
    public async Task A_renewal_that_is_half_done_is_told_once_and_waited_for()
    {
        string oldKey = File.ReadAllText(_tls.ClientKeyFile!);
        Renew();
        string newKey = File.ReadAllText(_tls.ClientKeyFile!);
        File.WriteAllText(_tls.ClientKeyFile!, oldKey);

        await LookUntilAsync(() => !_unusable.IsEmpty);
        _time.Advance(10 * ConnectFiles.LookEvery);
        Assert.False(_renewed.IsCompleted);
        Assert.Contains(_tls.ClientKeyFile!, Assert.Single(_unusable), StringComparison.Ordinal);

        File.WriteAllText(_tls.ClientKeyFile!, newKey);
        Touch(_tls.ClientKeyFile!);
        await LookUntilAsync(() => _renewed.IsCompletedSuccessfully);
    }

    [Fact]
    public async Task A_file_that_is_gone_costs_no_connection()
    {
        File.Delete(_tls.CaFile!);

        await LookUntilAsync(() => !_unusable.IsEmpty);
        Assert.False(_renewed.IsCompleted);
        Assert.Contains(_tls.CaFile!, Assert.Single(_unusable), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_link_that_leads_to_another_file_is_a_renewal()
    {
        string real = _certificates.PathOf("another.pem");
        File.Copy(_tls.CaFile!, real);
        Touch(real);
        File.Delete(_tls.CaFile!);
        File.CreateSymbolicLink(_tls.CaFile!, real);

        await LookUntilAsync(() => _renewed.IsCompletedSuccessfully);
    }

    public void Dispose()
    {
        _end.Cancel();
        _end.Dispose();
        _certificates.Dispose();
    }

    private void Renew()
    {
        _certificates.Sign("tea-hall", server: false);
        Touch(_tls.ClientCertificateFile!);
        Touch(_tls.ClientKeyFile!);
    }

    // The clock of the file system is coarser than this test is quick.
    private static void Touch(string file) =>
        File.SetLastWriteTimeUtc(file, File.GetLastWriteTimeUtc(file).AddSeconds(1));

    private Task LookUntilAsync(Func<bool> happened) =>
        Eventually.IsTrueAsync(() =>
        {
            _time.Advance(ConnectFiles.LookEvery);
            return happened();
        });
}
