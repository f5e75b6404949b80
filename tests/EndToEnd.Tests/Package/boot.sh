#!/bin/bash
# boot.sh ROOT: runs the systemd of a Debian root as the first process of namespaces of its own, on our network, until this
# script is ended. Of this computer it can change nothing: /sys and /proc/sys are read-only, /dev and its files are its own.
set -euo pipefail
root=$1

if [ "${2:-}" = inside ]; then
  mount --make-rprivate /
  mount --bind "$root" "$root"
  cd "$root"
  mount -t proc proc proc
  mount --bind proc/sys proc/sys
  mount -o remount,bind,ro proc/sys
  mount -t sysfs -o ro sysfs sys
  mount -t cgroup2 cgroup2 sys/fs/cgroup
  mount -t tmpfs tmpfs run
  mount -t tmpfs tmpfs tmp
  mount -t tmpfs -o mode=755 tmpfs dev
  mkdir dev/pts dev/shm
  mount -t devpts -o newinstance,ptmxmode=666 devpts dev/pts
  ln -s pts/ptmx dev/ptmx
  for node in null:3 zero:5 full:7 random:8 urandom:9; do
    mknod -m 666 "dev/${node%:*}" c 1 "${node#*:}"
  done
  mkdir -p tmp/before
  pivot_root . tmp/before
  umount -l /tmp/before
  # As on a computer of its own: what is mounted for a service (credentials) is seen by it.
  mount --make-rshared /
  exec env -i container=test PATH=/usr/sbin:/usr/bin:/sbin:/bin /usr/lib/systemd/systemd
fi

# A control group of its own, which it takes for the root of all.
groups=$(mktemp -d)
mount -t cgroup2 cgroup2 "$groups"
group=$groups/dancerwatch-test-$$
mkdir "$group"
(
  echo "$BASHPID" >"$group/cgroup.procs"
  exec unshare --mount --pid --fork --kill-child --uts --ipc --cgroup "$0" "$root" inside
) </dev/null &
# Its first process takes all others with it.
trap 'kill -KILL $(cat /proc/$!/task/$!/children)' TERM INT
wait $! || true
wait $! || true
find "$group" -depth -type d -exec rmdir {} \; || true
umount "$groups"
rmdir "$groups"
