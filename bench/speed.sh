#!/usr/bin/env bash
# What things cost, in one table of goal, figure, baseline and ratio: bench/speed.sh [reading|growth|replay|concepts|scipy|polling]...
# All parts without a word, but for month (a month replayed: five minutes, 5 GB), under 20 minutes on two cores. Quiet computer, please. bench/README.md says how to read it.
set -euo pipefail
cd "$(dirname "$0")/.."
parts=("${@:-}")
[[ -n ${parts[0]} ]] || parts=(reading growth replay concepts scipy polling)
rows=$(mktemp)
trap 'rm -f "$rows"' EXIT

build() { dotnet build --configuration Release --verbosity quiet --nologo "bench/$1" > /dev/null; }
run() { # PROJECT [WORD]: its rows are kept, the rest is shown
    dotnet run --no-build --configuration Release --project "bench/$1" -- "${@:2}" |
        tee >(grep '^row' >> "$rows" || true) | grep -v '^row' || true
}

echo "$(date -u +%F), $(nproc) cores: $(sed -n 's/^model name.*: //p' /proc/cpuinfo | head -1), .NET $(dotnet --version)"
build Speed
for part in "${parts[@]}"; do
    if [[ $part == polling ]]; then
        build Polling
        run Polling
    else
        run Speed "$part"
    fi
done
sleep 1 # the last rows are on their way through tee
echo
{ printf 'row\twhat\tgoal\tfigure\tbaseline\tratio\n'; cat "$rows"; } | cut -f 2- |
    awk -F '\t' '{ printf "%-98s %-32s %-30s %-34s %s\n", $1, $2, $3, $4, $5 }'
