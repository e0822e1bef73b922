#!/usr/bin/env bash
# The job after an array of array.sh: merges the parts of every scenario of a folder into its report.
#SBATCH --job-name=sightdrift-merge
#SBATCH --cpus-per-task=1
#SBATCH --time=02:00:00
set -euo pipefail
folder=$1
parts=$2
out=$3
ended=0
for scenario in "$folder"/*.toml; do
  name=$(basename "$scenario" .toml)
  "${SIGHTDRIFT:-sightdrift}" merge "$scenario" "$out/parts/$name".part-*-of-"$parts".json \
    --threads "${SLURM_CPUS_PER_TASK:-1}" --out "$out/$name" --overwrite \
    || ended=$?  # the others are merged all the same
done
exit "$ended"
