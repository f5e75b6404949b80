#!/usr/bin/env bash
# What is in the program: packaging/sbom.sh RID FILE writes a CycloneDX bill of materials of the packages in
# packages.RID.lock.json, with their hashes and licences. Packages that only helped to build have the scope "excluded".
set -euo pipefail
cd "$(dirname "$0")/.."
rid=$1 file=$2
version=$(sed -n 's:.*<Version>\(.*\)</Version>.*:\1:p' Directory.Build.props)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

dotnet tool restore >&2
# It reads what the restore for the program has left, so packaging/program.sh RID comes first.
dotnet CycloneDX src/EdgeAgent/EdgeAgent.csproj --configuration Release --framework net10.0 --runtime "$rid" \
  --base-intermediate-output-path "$PWD/artifacts/build-$rid" --disable-package-restore --set-name dancerwatch \
  --set-version "$version" --spec-version 1.6 --output-format Json --output "$work" --filename bom.json >&2
# The compiler's package is no mere helper: the .NET runtime it holds is linked into the program.
mkdir -p "$(dirname "$file")"
# uPlot lies among the sources (docs/decisions/0011): no package manager knows of it.
uplot='{ "type": "library", "bom-ref": "pkg:npm/uplot@1.6.32", "name": "uplot", "version": "1.6.32", "scope": "required", "licenses": [{ "license": { "id": "MIT" } }], "purl": "pkg:npm/uplot@1.6.32" },'
sed -e '/"name": "runtime\..*ILCompiler"/,/"scope"/ s/"excluded"/"required"/' \
  -e "0,/^  \"components\": \[/ s|^  \"components\": \[|&\\n    $uplot|" "$work/bom.json" >"$file"
chmod 644 "$file"
