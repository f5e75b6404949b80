#!/usr/bin/env bash
# What 1 to 1,000 machines take of a computer, measured and modelled, and what by that 10,000 take: bench/scale.sh [SECONDS] makes
# the native program and the virtual plants, and measures each size for so long. Two minutes and a half. Quiet computer, please.
set -euo pipefail
cd "$(dirname "$0")/.."
program=$(packaging/program.sh linux-x64)
dotnet build bench/Scale --configuration Release -v:q -nologo
bench/Scale/bin/Release/net10.0/Scale "$program" "${1:-9}"
