#!/usr/bin/env bash
# One task of an array job under Slurm: one part of one scenario of a folder. Adapt the lines below to your cluster.
# Usage: see submit.sh, which also merges. All tasks must see the same folders and the same sightdrift.
#SBATCH --job-name=sightdrift-part
#SBATCH --cpus-per-task=1
#SBATCH --time=24:00:00
#SBATCH --requeue
# asked to end before its time is up, a task keeps what it has done; submit the same sweep again to go on
#SBATCH --signal=B:TERM@60
set -euo pipefail
folder=$1  # scenarios, one .toml each
parts=$2   # parts of each scenario
out=$3     # for counts files and reports
shift 3    # the rest goes to assess: --builds, --looks, --seed

scenarios=("$folder"/*.toml)
# tasks count from 1: all parts of the first scenario, then all parts of the second …
task=$((SLURM_ARRAY_TASK_ID - 1))
scenario=${scenarios[$((task / parts))]}
part=$((task % parts + 1))
name=$(basename "$scenario" .toml)

mkdir -p "$out/parts"
# --resume: a task that was stopped and put back into the queue goes on where it was
exec "${SIGHTDRIFT:-sightdrift}" assess "$scenario" --part "$part/$parts" --resume \
  --threads "${SLURM_CPUS_PER_TASK:-1}" --out "$out/parts/$name.part-$part-of-$parts.json" "$@"
