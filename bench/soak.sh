#!/usr/bin/env bash
# Eight machines at 50 Hz for long: bench/soak.sh [MINUTES] [HOURS] runs the native program for MINUTES (30) of real time, its
# memory, handles and signs of life watched and all that goes to the controllers captured (root or the right to capture, and
# tshark); then HOURS (8) of stepped time through watches, outbox and snapshots. Ends with 1 where something is not as it must be.
set -euo pipefail
cd "$(dirname "$0")/.."
program=$(packaging/program.sh linux-x64)
dotnet build --configuration Release -v:q -clp:NoSummary bench/Soak >&2
soak=(dotnet bench/Soak/bin/Release/net10.0/Soak.dll)
code=0
"${soak[@]}" minutes "${1:-30}" "$program" config/tea-hall.jsonc || code=1
# As in the native program: 1 MB for garbage between two collections.
DOTNET_GCgen0size=100000 "${soak[@]}" hours "${2:-8}" config/tea-hall.jsonc || code=1
exit "$code"
