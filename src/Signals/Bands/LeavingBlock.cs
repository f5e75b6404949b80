namespace Dancerwatch.Signals.Bands;

/// <summary>
/// The oldest block on its way out of the long window: unpacked a few readings at each reading, so that all of it leaves the
/// counts at once, and exactly when it is due. Unpacking it then and there took 120 us of one reading in 6,000.
/// </summary>
/// <param name="blocks">Where it comes from.</param>
/// <param name="codes">Different codes.</param>
internal sealed class LeavingBlock(SortedBlocks blocks, int codes)
{
    private const int ReadingsAtATime = 8;
    private readonly GapCounts _counts = new(codes);
    private BlockPlace _place;
    private bool _isBegun;

    /// <summary>Unpacks a part of the oldest block.</summary>
    public void UnpackSome() => Unpack(ReadingsAtATime);

    /// <summary>Takes the readings of the oldest block out of the counts and drops it.</summary>
    public void TakeFrom(GapCounts counts)
    {
        Unpack(int.MaxValue);
        blocks.DropOldest();
        counts.Remove(_counts);
        Clear();
    }

    /// <summary>What was unpacked is of no use any more.</summary>
    public void Clear()
    {
        if (_isBegun)
            _counts.Clear();
        _isBegun = false;
    }

    private void Unpack(int readings)
    {
        if (!_isBegun)
            (_place, _isBegun) = (blocks.BeginOldest(), true);
        blocks.Unpack(ref _place, _counts, Math.Min(readings, _place.Left));
    }
}
