namespace Dancerwatch.EdgeAgent.Controllers.EtherNetIp.Browsing;

/// <summary>What a controller lists is more than there can be, or does not hold together: nothing of it is taken.</summary>
internal static class BrowseRefusal
{
    public static LinkException Because(string what) =>
        new(
            TagStatus.Garbled,
            $"answered with {what}, so nothing of its list is taken. Check that the address and port belong to the controller"
        );
}
