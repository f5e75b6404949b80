#!/usr/bin/env bash
# Takes the steps of the Dockerfile where no container engine runs: packaging/try-image.sh, as root, with buildah and
# mmdebstrap. Its base images are made here, from Debian and this computer's .NET SDK; then the image is built, and its
# program run as the image says: as its user, without a capability, on a read-only root. Takes some minutes and 5 GB in /tmp.
set -euo pipefail
cd "$(dirname "$0")/.."
work=$(mktemp -d)
export BUILDAH_ISOLATION=chroot
images=(buildah --root "$work/storage" --runroot "$work/run")
end() {
  [ -z "${agent:-}" ] || kill "$agent" 2>/dev/null || true
  [ -z "${hall:-}" ] || kill "$hall"
  wait
  [ -z "${root:-}" ] || umount -R "$root" || true
  "${images[@]}" rm --all >/dev/null || true
  rm -rf "$work"
}
trap end EXIT

# base NAME PACKAGES [FOLDER...]: an image of Debian with packages, and folders of this computer.
base() {
  mmdebstrap --quiet --variant=minbase --include="$2" bookworm "$work/root"
  for folder in "${@:3}"; do
    mkdir -p "$work/root$folder"
    cp -a "$folder/." "$work/root$folder"
  done
  # As in the real ones, dotnet is found by its name.
  [ "$1" != sdk ] || ln -sf "$sdk/dotnet" "$work/root/usr/bin/dotnet"
  container=$("${images[@]}" from scratch)
  "${images[@]}" add --quiet "$container" "$work/root" / >/dev/null
  "${images[@]}" commit --quiet --rm "$container" "localhost/$1" >/dev/null
  rm -rf "$work/root"
}
sdk=$(dirname "$(readlink -f "$(command -v dotnet)")")
base sdk ca-certificates,libssl3,libstdc++6 "$sdk" "${NUGET_PACKAGES:-$HOME/.nuget}"
base runtime-deps ca-certificates,libssl3

"${images[@]}" bud --quiet --format docker --pull-never --build-arg SDK=localhost/sdk --build-arg BASE=localhost/runtime-deps \
  --tag localhost/dancerwatch . >/dev/null
"${images[@]}" inspect --type image --format 'built: user {{.OCIv1.Config.User}}, {{.OCIv1.Config.Entrypoint}} {{.OCIv1.Config.Cmd}}, health {{.Docker.Config.Healthcheck.Test}}' \
  localhost/dancerwatch

# What an engine would do with it, by hand.
container=$("${images[@]}" from --pull-never localhost/dancerwatch)
root=$("${images[@]}" mount "$container")
mount --bind "$root" "$root"
mkdir "$work/configuration"
sed -e 's/44818/44819/' -e 's/1883/1884/' config/tea-hall.jsonc >"$work/configuration/dancerwatch.jsonc"
mkdir -p "$root/etc/dancerwatch" "$root/proc" "$root/dev"
mount -o remount,bind,ro "$root"
mount -t proc proc "$root/proc"
mount --bind "$work/configuration" "$root/etc/dancerwatch"
mount -t tmpfs -o uid=64198,gid=64198,mode=0700 tmpfs "$root/run/dancerwatch"
mount -t tmpfs -o uid=64198,gid=64198,mode=0700 tmpfs "$root/var/lib/dancerwatch"
inside() {
  exec env -i STATE_DIRECTORY=/var/lib/dancerwatch RUNTIME_DIRECTORY=/run/dancerwatch setpriv --no-new-privs \
    unshare --root="$root" --wd=/ --setgid=64198 --setuid=64198 "$@"
}

"$root/usr/bin/dancerwatch" simulate --controller-port 44819 --broker-port 1884 >/dev/null &
hall=$!
sleep 1
(inside /usr/bin/dancerwatch alive) && { echo "alive before it was started"; exit 1; }
(inside /usr/bin/dancerwatch run --config /etc/dancerwatch/dancerwatch.jsonc) &
agent=$!
sleep 5
echo "process: $(grep -E '^(Uid|CapEff|NoNewPrivs)' "/proc/$agent/status" | tr '\t\n' ' ')"
(inside /usr/bin/touch /usr/bin/x) && { echo "the root can be written to"; exit 1; }
(inside /usr/bin/dancerwatch alive)
kill -TERM "$agent"
wait "$agent"
echo "ended in order"
