#!/usr/bin/env bash
# Builds everything and runs every test. Needs the .NET 10 SDK; uses node, mosquitto, tshark and openssl where they are
# installed (tests that need one say so and are skipped where it is not). Last line: 'N passed, N failed, N skipped'.
set -uo pipefail
cd "$(dirname "$0")"
export DOTNET_NOLOGO=1 DOTNET_CLI_TELEMETRY_OPTOUT=1

log=$(mktemp)
results=$(mktemp -d)
trap 'rm -rf "$log" "$results"' EXIT

if command -v npm >/dev/null; then
  # The independent clients the protocols are checked against. Without them (no network, say) their tests are skipped.
  for package in $(git ls-files 'tests/*package-lock.json'); do
    (cd "$(dirname "$package")" && npm ci --ignore-scripts --no-audit --no-fund --silent) \
      || echo "npm ci failed for $package: its tests will be skipped" >&2
  done
fi

dotnet tool restore >/dev/null \
  && dotnet csharpier check . \
  && dotnet build --configuration Release -clp:NoSummary -v:q \
  || { echo "0 passed, 1 failed, 0 skipped"; exit 1; }

# A test that hangs is named, and counts as failed.
dotnet test --configuration Release --no-build --solution Dancerwatch.slnx --results-directory "$results" \
  --hangdump --hangdump-type None --hangdump-timeout 8m "$@" 2>&1 | tee "$log"
code=${PIPESTATUS[0]}
find "$results" -name '*_hang.log' -exec cat {} +

count() { sed -n "s/^ *$1: *\([0-9][0-9]*\).*/\1/p" "$log" | tail -n 1; }
echo "$(count succeeded) passed, $(($(count failed) + 0$(count error))) failed, $(count skipped) skipped"
exit "$code"
