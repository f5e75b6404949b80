using System.Numerics;

namespace Dancerwatch.Signals.Bands;

/// <summary>
/// How often each gap code stands in a window, as a binary indexed tree of counts (Fenwick 1994): adding, taking away and
/// finding the k-th smallest cost log2(codes) steps each, and are exact. Memory: 4 B a code.
/// </summary>
internal sealed class GapCounts
{
    private readonly int[] _tree; // 1-based; node i holds the counts of the codes (i - lowbit(i), i]
    private readonly int _highestPower;

    public GapCounts(int codes)
    {
        _tree = new int[codes + 1];
        _highestPower = 1 << BitOperations.Log2((uint)codes);
    }

    /// <summary>Bytes held.</summary>
    public long Bytes => sizeof(int) * (long)_tree.Length;

    /// <summary>Readings counted.</summary>
    public int Count { get; private set; }

    public void Add(ushort code) => Change(code, 1);

    public void Remove(ushort code) => Change(code, -1);

    /// <summary>Code of the k-th smallest reading, k from 1 to <see cref="Count"/>.</summary>
    public int Smallest(int k)
    {
        int node = 0;
        for (int step = _highestPower; step > 0; step >>= 1)
        {
            int next = node + step;
            if (next < _tree.Length && _tree[next] < k)
            {
                node = next;
                k -= _tree[next];
            }
        }
        return node; // of the nodes from 1, so the code is one less than the node after
    }

    /// <summary>Takes away many readings at once: from each node its part of them.</summary>
    /// <param name="nodes">Their counts as <see cref="SumUp"/> leaves them.</param>
    /// <param name="readings">How many they are.</param>
    public void Remove(ReadOnlySpan<int> nodes, int readings)
    {
        Count -= readings;
        int node = 0;
        for (int width = Vector<int>.Count; node <= _tree.Length - width; node += width)
            (new Vector<int>(_tree, node) - new Vector<int>(nodes[node..])).CopyTo(_tree, node);
        for (; node < _tree.Length; node++)
            _tree[node] -= nodes[node];
    }

    /// <summary>Turns counts, that of code c at place c + 1, into the nodes of a tree, from one code to another; in turns up to the last code.</summary>
    /// <returns>How far it came.</returns>
    public static int SumUp(Span<int> nodes, int from, int to)
    {
        for (int node = from + 1; node <= to; node++)
        {
            int holder = node + (node & -node);
            if (holder < nodes.Length)
                nodes[holder] += nodes[node];
        }
        return to;
    }

    public void Clear()
    {
        Array.Clear(_tree);
        Count = 0;
    }

    private void Change(int code, int by)
    {
        Count += by;
        for (int node = code + 1; node < _tree.Length; node += node & -node)
            _tree[node] += by;
    }
}
