using System.Net;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;

namespace Dancerwatch.Tests;

/// <summary>An authority of a hall, and certificates it has signed, as PEM files in a directory of their own.</summary>
internal sealed class HallCertificates : IDisposable
{
    private readonly ECDsa _key = ECDsa.Create(ECCurve.NamedCurves.nistP256);
    private readonly X509Certificate2 _authority;

    // One instant for all: nothing signed may hold longer than its authority.
    private readonly DateTimeOffset _from = TimeProvider.System.GetUtcNow().AddDays(-1);

    public HallCertificates()
    {
        Directory = System.IO.Directory.CreateTempSubdirectory("dancerwatch-broker-").FullName;
        CertificateRequest request = new("CN=tea-hall authority", _key, HashAlgorithmName.SHA256);
        request.CertificateExtensions.Add(new X509BasicConstraintsExtension(true, true, 0, true));
        request.CertificateExtensions.Add(
            new X509KeyUsageExtension(X509KeyUsageFlags.KeyCertSign | X509KeyUsageFlags.CrlSign, true)
        );
        _authority = request.CreateSelfSigned(_from, Until);
        File.WriteAllText(CaFile, _authority.ExportCertificatePem());
    }

    public string Directory { get; }

    private DateTimeOffset Until => _from.AddDays(7);

    public string CaFile => PathOf("ca.pem");

    public string PathOf(string file) => Path.Combine(Directory, file);

    /// <summary>Signs <c>NAME.pem</c> with key <c>NAME.key</c>.</summary>
    /// <param name="server">True: for 127.0.0.1 and localhost. False: a client called <paramref name="name"/>.</param>
    /// <param name="subject">Whom it is for, where that is not <paramref name="name"/>.</param>
    /// <param name="host">Name of the server's host, where it is neither of those two.</param>
    public (string Certificate, string Key) Sign(
        string name,
        bool server,
        string? subject = null,
        string? host = null
    )
    {
        using ECDsa key = ECDsa.Create(ECCurve.NamedCurves.nistP256);
        CertificateRequest request = new($"CN={subject ?? name}", key, HashAlgorithmName.SHA256);
        if (server)
        {
            SubjectAlternativeNameBuilder names = new();
            if (host is null)
                names.AddIpAddress(IPAddress.Loopback);
            names.AddDnsName(host ?? "localhost");
            request.CertificateExtensions.Add(names.Build());
        }
        byte[] serial = RandomNumberGenerator.GetBytes(8);
        serial[0] &= 0x7F;
        using X509Certificate2 signed = request.Create(_authority, _from, Until, serial);
        File.WriteAllText(PathOf($"{name}.pem"), signed.ExportCertificatePem());
        File.WriteAllText(PathOf($"{name}.key"), key.ExportPkcs8PrivateKeyPem());
        return (PathOf($"{name}.pem"), PathOf($"{name}.key"));
    }

    public void Dispose()
    {
        _authority.Dispose();
        _key.Dispose();
        System.IO.Directory.Delete(Directory, recursive: true);
    }
}
