#!/usr/bin/env bash
# What the native program takes: bench/footprint.sh [SECONDS] makes it, runs it for eight machines and prints size, time to
# the first reading and memory beside what they may be at most. Ends with 1 where one is missed. Quiet computer, please.
set -euo pipefail
cd "$(dirname "$0")/.."
program=$(packaging/program.sh linux-x64)
dotnet run --configuration Release --project bench/Footprint -- "$program" config/tea-hall.jsonc "${1:-60}"
