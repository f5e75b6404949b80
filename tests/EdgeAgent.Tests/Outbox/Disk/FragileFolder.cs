using Dancerwatch.EdgeAgent.Outbox.Disk;

namespace Dancerwatch.EdgeAgent.Tests.Outbox.Disk;

/// <summary>
/// A folder whose power can be cut. What was flushed stays. Of each write that was not, any part may have reached the disk,
/// sector by sector, in any order, and a sector torn in its middle, which is more than disks do; a file that was never flushed may be gone, one that was deleted may be back. It can also
/// be full, and flushing can be made to fail or to take its time.
/// </summary>
internal sealed class FragileFolder : IStateFolder
{
    private const int Sector = 512;

    private readonly Dictionary<string, Content> _files = [];
    private readonly Dictionary<string, Content> _deleted = [];
    private readonly Lock _gate = new();

    public string Path => "/fragile";

    /// <summary>Space in all, bytes.</summary>
    public long Capacity { get; set; } = long.MaxValue;

    /// <summary>Called before a flush; may throw, or take its time.</summary>
    public Action Flushing { get; set; } = static () => { };

    public long Used
    {
        get
        {
            lock (_gate)
                return _files.Values.Sum(file => file.Space);
        }
    }

    /// <summary>What is on disk once the power is back.</summary>
    public FragileFolder CutPower(Random random)
    {
        FragileFolder after = new() { Capacity = Capacity };
        lock (_gate)
        {
            foreach ((string name, Content file) in _files)
            {
                if (file.NameIsOnDisk || random.Next(2) == 0)
                    after._files[name] = file.AfterPowerCut(random);
            }
            foreach ((string name, Content file) in _deleted)
            {
                if (!after._files.ContainsKey(name) && random.Next(2) == 0)
                    after._files[name] = file.AfterPowerCut(random);
            }
        }
        return after;
    }

    /// <summary>What a killed process leaves: all that it wrote.</summary>
    public FragileFolder Kill()
    {
        FragileFolder after = new() { Capacity = Capacity };
        lock (_gate)
        {
            foreach ((string name, Content file) in _files)
                after._files[name] = file.Survivor();
        }
        return after;
    }

    /// <summary>Changes bytes of a file as a failing disk does.</summary>
    public void Damage(string name, Action<byte[]> change)
    {
        lock (_gate)
            _files[name].Damage(change);
    }

    public IReadOnlyList<(string Name, long Length)> List()
    {
        lock (_gate)
            return [.. _files.Select(file => (file.Key, (long)file.Value.Bytes.Length))];
    }

    public IStateFile Create(string name, long reserve)
    {
        lock (_gate)
        {
            if (_files.ContainsKey(name))
                throw new IOException($"{name} is there already");
            Room(reserve);
            Content file = new() { Reserved = reserve };
            _files[name] = file;
            return new Handle(this, file);
        }
    }

    public IStateFile Open(string name)
    {
        lock (_gate)
        {
            return _files.TryGetValue(name, out Content? file)
                ? new Handle(this, file)
                : throw new FileNotFoundException(name);
        }
    }

    public IStateFile OpenAlone(string name)
    {
        lock (_gate)
        {
            if (!_files.TryGetValue(name, out Content? file))
                _files[name] = file = new Content();
            return new Handle(this, file);
        }
    }

    public void Delete(string name)
    {
        lock (_gate)
        {
            if (_files.Remove(name, out Content? file))
                _deleted[name] = file;
        }
    }

    public void Rename(string name, string newName)
    {
        lock (_gate)
        {
            _files.Remove(name, out Content? file);
            _files[newName] = file!;
        }
    }

    private void Room(long more)
    {
        if (Used + more > Capacity)
            throw new IOException("No space left on device");
    }

    private sealed class Content
    {
        private readonly List<(long Offset, byte[] Bytes)> _unflushed = [];
        private byte[] _onDisk = [];

        public byte[] Bytes { get; private set; } = [];

        public long Reserved { get; set; }

        public bool NameIsOnDisk { get; private set; }

        public long Space => Math.Max(Reserved, Bytes.Length);

        public void Write(long offset, byte[] bytes)
        {
            Bytes = With(Bytes, offset, bytes);
            _unflushed.Add((offset, bytes));
        }

        // Comes to disk at once: harsher than any file system, which keeps the order of it and the writes before.
        public void Truncate(long length)
        {
            Bytes = Bytes[..(int)Math.Min(length, Bytes.Length)];
            _onDisk = _onDisk[..(int)Math.Min(length, _onDisk.Length)];
            _unflushed.RemoveAll(write => write.Offset >= length);
            Reserved = length;
        }

        public void Flush()
        {
            foreach ((long offset, byte[] bytes) in _unflushed)
                _onDisk = With(_onDisk, offset, bytes);
            _unflushed.Clear();
            NameIsOnDisk = true;
        }

        // As Linux does: what could not be written counts as clean from then on, is still read, and never comes to disk.
        public void FailToFlush() => _unflushed.Clear();

        public void Damage(Action<byte[]> change)
        {
            byte[] bytes = [.. Bytes];
            change(bytes);
            Bytes = _onDisk = bytes;
            _unflushed.Clear();
        }

        public Content Survivor()
        {
            Content after = new()
            {
                _onDisk = _onDisk,
                Bytes = Bytes,
                Reserved = Reserved,
                NameIsOnDisk = NameIsOnDisk,
            };
            after._unflushed.AddRange(_unflushed);
            return after;
        }

        public Content AfterPowerCut(Random random)
        {
            byte[] bytes = _onDisk;
            foreach ((long offset, byte[] written) in _unflushed)
            {
                for (int at = 0; at < written.Length; )
                {
                    int end = Math.Min(written.Length, at + Sector - (int)((offset + at) % Sector));
                    int arrived = random.Next(3) switch
                    {
                        0 => at,
                        1 => end,
                        _ => random.Next(at, end),
                    };
                    bytes = With(bytes, offset + at, written[at..arrived]);
                    at = end;
                }
            }
            return new Content
            {
                _onDisk = bytes,
                Bytes = bytes,
                Reserved = Reserved,
                NameIsOnDisk = true,
            };
        }

        private static byte[] With(byte[] bytes, long offset, byte[] more)
        {
            byte[] with = new byte[Math.Max(bytes.Length, offset + more.Length)];
            bytes.CopyTo(with, 0);
            more.CopyTo(with, offset);
            return with;
        }
    }

    private sealed class Handle(FragileFolder folder, Content file) : IStateFile
    {
        public long Length => file.Bytes.Length;

        public int Read(long offset, Span<byte> into)
        {
            lock (folder._gate)
            {
                int length = (int)Math.Clamp(file.Bytes.Length - offset, 0, into.Length);
                file.Bytes.AsSpan((int)Math.Min(offset, file.Bytes.Length), length).CopyTo(into);
                return length;
            }
        }

        public void Write(long offset, ReadOnlySpan<byte> bytes)
        {
            lock (folder._gate)
            {
                long room = folder.Capacity - folder.Used + file.Space - offset;
                int fits = (int)Math.Clamp(room, 0, bytes.Length);
                // As a real disk: what fits is written, then it is full.
                file.Write(offset, bytes[..fits].ToArray());
                if (fits < bytes.Length)
                    throw new IOException("No space left on device");
            }
        }

        public void Flush()
        {
            try
            {
                folder.Flushing();
            }
            catch (IOException)
            {
                lock (folder._gate)
                    file.FailToFlush();
                throw;
            }
            lock (folder._gate)
                file.Flush();
        }

        public void Truncate(long length)
        {
            lock (folder._gate)
                file.Truncate(length);
        }

        public void Dispose() { }
    }
}
