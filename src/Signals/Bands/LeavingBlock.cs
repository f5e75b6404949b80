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
    private const int CodesAtATime = 64;
    private readonly int[] _nodes = new int[codes + 1]; // of a tree as that of GapCounts
    private BlockPlace _place;
    private int _summed;
    private bool _isBegun;

    /// <summary>Unpacks a part of the oldest block.</summary>
    public void UnpackSome() => Unpack(ReadingsAtATime, CodesAtATime);

    /// <summary>Takes the readings of the oldest block out of the counts and drops it.</summary>
    public void TakeFrom(GapCounts counts)
    {
        Unpack(int.MaxValue, 0);
        Unpack(0, codes);
        counts.Remove(_nodes, blocks.DropOldest());
        Clear();
    }

    /// <summary>What was unpacked is of no use any more.</summary>
    public void Clear()
    {
        if (_isBegun)
            Array.Clear(_nodes);
        _isBegun = false;
    }

    private void Unpack(int readings, int sums)
    {
        if (!_isBegun)
            (_place, _summed, _isBegun) = (blocks.BeginOldest(), 0, true);
        if (_place.Left > 0)
            blocks.Unpack(ref _place, _nodes.AsSpan(1), Math.Min(readings, _place.Left));
        else if (_summed < codes)
            _summed = GapCounts.SumUp(_nodes, _summed, Math.Min(codes, _summed + sums));
    }
}
