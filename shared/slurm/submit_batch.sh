#!/usr/bin/env bash
# Renders a run sheet on a Slurm cluster: an array of tasks, one shard each, then a job that merges them.
#
#   shared/slurm/submit_batch.sh RUNSHEET OUT PARTS [sbatch options]
#
# RUNSHEET, OUT and the program must lie where every node sees them under the same path. Options go to the array, such as
# --partition=render --cpus-per-task=8 --time=01:00:00. A task that is killed, preempted or requeued goes on where it
# stopped: what is done stays done. Prints the number of the array and of the merging job.
set -euo pipefail

if [[ $# -lt 3 || ! $3 =~ ^[1-9][0-9]*$ ]]; then
  printf 'submit_batch.sh: error: expected RUNSHEET OUT PARTS [sbatch options]\n' >&2
  exit 2
fi
program=${WHEATPASTE:-$(cd "$(dirname "${BASH_SOURCE[0]}")/../.." && pwd)/build/wheatpaste}
sheet=$(realpath "$1")
mkdir -p "$2"
out=$(realpath "$2")
parts=$3
shift 3
[[ -x $program ]] || {
  printf 'submit_batch.sh: error: no program at %s; set WHEATPASTE to its path\n' "$program" >&2
  exit 2
}

# The task's own share of the node, not the node: threads and memory as Slurm gives them. On a signal the program finishes
# the pictures at hand, so it must get the signal itself (exec).
task=$(printf 'exec %q batch %q --out %q --shard "$SLURM_ARRAY_TASK_ID/%d" --threads "${SLURM_CPUS_PER_TASK:-1}"' \
  "$program" "$sheet" "$out" "$parts")
task+=' ${SLURM_MEM_PER_NODE:+--memory "$(awk "BEGIN { print 0.9 * $SLURM_MEM_PER_NODE / 1024 }")"}'
array=$(sbatch --parsable --job-name=wheatpaste --array="1-$parts" --requeue --open-mode=append \
  --output="$out/.slurm-%A-%a.log" "$@" --wrap "$task")
merge=$(sbatch --parsable --job-name=wheatpaste-merge --dependency="afterany:$array" \
  --output="$out/.slurm-merge-%j.log" --wrap "$(printf 'exec %q merge %q' "$program" "$out")")
printf 'array %s, merge %s\n' "$array" "$merge"
