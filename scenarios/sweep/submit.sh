#!/usr/bin/env bash
# Submits a sweep to Slurm: an array of parts over all scenarios of a folder, and a job that merges when all are done.
# Usage: bash submit.sh FOLDER PARTS OUT [options of assess, for example --builds 100000000]
# Example:
#   bash scenarios/sweep/peepholes.sh scenarios/desk-boat.toml sweep "5 mm" "6 mm" "8 mm"
#   bash scenarios/sweep/submit.sh sweep 100 reports/sweep --builds 100000000
# Submitted again, it goes on: finished parts end at once. A cluster allows so many tasks in one array (scontrol show config,
# MaxArraySize): scenarios times parts must be fewer.
# SIGHTDRIFT names the program when it is not on the path. Prints the number of the merging job.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
folder=$1
parts=$2
out=$3
scenarios=("$folder"/*.toml)
[ -e "${scenarios[0]}" ] || { echo "$folder: holds no scenario" >&2; exit 2; }
mkdir -p "$out/log"
array=$(sbatch --parsable --array="1-$((${#scenarios[@]} * parts))" --output="$out/log/part-%a.txt" \
  "$here/array.sh" "$@")
sbatch --parsable --dependency="afterok:$array" --kill-on-invalid-dep=yes --output="$out/log/merge.txt" \
  "$here/merge.sh" "$folder" "$parts" "$out"
