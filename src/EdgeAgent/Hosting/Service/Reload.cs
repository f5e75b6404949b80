using Dancerwatch.EdgeAgent.Configuration;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Hosting.Service;

/// <summary>
/// Puts a changed configuration in force while the daemon runs: when asked to, or once its file has changed and rests. One
/// that cannot be used is refused with all that is wrong with it, and the old one stays in force.
/// </summary>
internal sealed class Reload(
    SettingsSource source,
    Agent agent,
    ServiceManager manager,
    TimeProvider time,
    ILogger logger
)
{
    /// <summary>
    /// Time between two looks at the file. A change is noticed by the first look after it and believed by the second, once
    /// whoever writes is done.
    /// </summary>
    public static readonly TimeSpan LookEvery = TimeSpan.FromMilliseconds(500);

    // Taken before anything else happens: a change while the daemon starts is noticed, too.
    private FileStamp _done = FileStamp.Of(source.Path);
    private volatile bool _asked;

    /// <summary>Asks for a reload at the next look, whether or not the file has changed. Any thread.</summary>
    public void Ask() => _asked = true;

    /// <summary>Looks until <paramref name="cancellation"/>; then returns.</summary>
    public async Task RunAsync(CancellationToken cancellation)
    {
        using PeriodicTimer timer = new(LookEvery, time);
        FileStamp last = _done;
        try
        {
            while (await timer.WaitForNextTickAsync(cancellation))
            {
                FileStamp now = FileStamp.Of(source.Path);
                bool isSettled = now == last;
                last = now;
                if (!_asked && (!isSettled || now == _done))
                    continue;
                _asked = false;
                _done = now;
                await LoadAsync();
            }
        }
        catch (OperationCanceledException) when (cancellation.IsCancellationRequested) { }
    }

    private async Task LoadAsync()
    {
        manager.Reloading();
        try
        {
            SettingsResult result = source.Load();
            IReadOnlyList<string> findings = result.Settings is { } settings
                ? [.. (await agent.ReloadAsync(settings)).Select(finding => $"{source.Path}: {finding}")]
                : [.. result.Errors.Select(error => error.ToString(source.Path))];
            foreach (string finding in findings)
                logger.SettingRefused(finding);
            if (findings.Count > 0)
                logger.ReloadRefused(source.Path, findings.Count);
        }
        finally
        {
            manager.Ready(agent.Summary());
        }
    }
}
