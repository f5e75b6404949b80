#!/usr/bin/env bash
# The native program: packaging/program.sh [linux-x64 | linux-arm64] makes artifacts/RID/dancerwatch, one file that needs
# glibc 2.34, and OpenSSL 3 where TLS is used. Takes about a minute.
# Needs the .NET 10 SDK and a C linker: Debian's clang (and zlib1g-dev for the headers of others; not here). For arm64 on
# another processor: gcc-aarch64-linux-gnu and libc6-dev-arm64-cross.
set -euo pipefail
cd "$(dirname "$0")/.."
rid=${1:-linux-x64}

linker=()
if [ "$rid" = linux-arm64 ] && [ "$(uname -m)" != aarch64 ]; then
  linker=(-p:ObjCopyName=aarch64-linux-gnu-objcopy)
fi
# A build folder of its own: neither disturbs the other's, nor do two programs each other's.
dotnet publish src/EdgeAgent --configuration Release --runtime "$rid" --artifacts-path "artifacts/build-$rid" \
  --output "artifacts/$rid" -v:q -nologo "${linker[@]}" >&2
echo "artifacts/$rid/dancerwatch"
