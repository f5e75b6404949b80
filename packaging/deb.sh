#!/usr/bin/env bash
# A Debian package: packaging/deb.sh [linux-x64 | linux-arm64] packs artifacts/RID/dancerwatch, which packaging/program.sh
# has made, with the unit, its user, a configuration to start from and what is in it (packaging/sbom.sh). Prints its name.
set -euo pipefail
cd "$(dirname "$0")/.."
rid=${1:-linux-x64}
case $rid in
  linux-x64) architecture=amd64 ;;
  linux-arm64) architecture=arm64 ;;
  *) echo "$rid is not packed: linux-x64 or linux-arm64" >&2; exit 2 ;;
esac
program=artifacts/$rid/dancerwatch
[ -x "$program" ] || { echo "$program is not there: make it with packaging/program.sh $rid" >&2; exit 1; }

version=$(sed -n 's:.*<Version>\(.*\)</Version>.*:\1:p' Directory.Build.props)
package=artifacts/dancerwatch_${version}_$architecture.deb
root=$(mktemp -d)
trap 'rm -rf "$root"' EXIT
chmod 755 "$root"
put() { install -D -m "$1" "$2" "$root/$3"; }

put 755 "$program" usr/bin/dancerwatch
put 644 systemd/dancerwatch.service usr/lib/systemd/system/dancerwatch.service
put 644 systemd/dancerwatch.sysusers usr/lib/sysusers.d/dancerwatch.conf
put 644 config/example.jsonc etc/dancerwatch/dancerwatch.jsonc
put 644 config/dancerwatch.schema.json usr/share/dancerwatch/dancerwatch.schema.json
sed -i 's#"dancerwatch.schema.json"#"/usr/share/dancerwatch/dancerwatch.schema.json"#' \
  "$root/etc/dancerwatch/dancerwatch.jsonc"
for document in README.md SECURITY.md docs/topics.md systemd/credentials.md packaging/debian/copyright; do
  put 644 "$document" "usr/share/doc/dancerwatch/$(basename "$document")"
done
put 644 config/tea-hall.jsonc usr/share/doc/dancerwatch/examples/tea-hall.jsonc
put 644 config/mosquitto.acl usr/share/doc/dancerwatch/examples/mosquitto.acl
# What the runtime contains of others: its package, in the version of the lock file, says so.
runtime=runtime.$rid.microsoft.dotnet.ilcompiler
runtime_version=$(grep -A 2 -i "\"$runtime\": {" "src/EdgeAgent/packages.$rid.lock.json" | sed -n 's/.*"resolved": "\(.*\)".*/\1/p')
put 644 "${NUGET_PACKAGES:-$HOME/.nuget/packages}/$runtime/$runtime_version/THIRD-PARTY-NOTICES.TXT" \
  usr/share/doc/dancerwatch/dotnet-third-party-notices.txt
packaging/sbom.sh "$rid" "$root/usr/share/doc/dancerwatch/dancerwatch.cdx.json"

size=$(du -sk "$root" | cut -f1)
mkdir "$root/DEBIAN"
sed -e "s/@VERSION@/$version/" -e "s/@ARCHITECTURE@/$architecture/" -e "s/@SIZE@/$size/" \
  packaging/debian/control.in >"$root/DEBIAN/control"
install -m 644 packaging/debian/conffiles "$root/DEBIAN/conffiles"
install -m 755 packaging/debian/{postinst,prerm,postrm} "$root/DEBIAN"
(cd "$root" && find usr -type f -print0 | sort -z | xargs -0 md5sum) >"$root/DEBIAN/md5sums"
dpkg-deb --build --root-owner-group "$root" "$package" >&2
echo "$package"
