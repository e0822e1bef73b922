#!/usr/bin/env bash
# Writes one scenario for each peephole diameter into a folder, from one scenario that gives it in [peephole].
# Usage: bash peepholes.sh SCENARIO.toml FOLDER "5 mm" "6 mm" "8 mm"
# SIGHTDRIFT names the program when it is not on the path: it checks each scenario.
# A scenario that names CSV files finds them beside itself: copy those into the folder too.
set -euo pipefail
scenario=$1
folder=$2
shift 2
mkdir -p "$folder"
for diameter in "$@"; do
  file="$folder/$(basename "$scenario" .toml)-${diameter// /}.toml"
  awk -v diameter="$diameter" '
    /^\[/ { inside = ($0 ~ /^\[peephole\]/) }
    inside && /^diameter[ =]/ { print "diameter = \"" diameter "\""; found = 1; next }
    { print }
    END { exit !found }
  ' "$scenario" > "$file" || { echo "$scenario: has no diameter in [peephole]" >&2; exit 2; }
  # better told now than by every task of an array
  "${SIGHTDRIFT:-sightdrift}" check "$file" > /dev/null || { rm "$file"; exit 2; }
  echo "$file"
done
