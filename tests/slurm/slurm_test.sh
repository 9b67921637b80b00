#!/usr/bin/env bash
# A batch on a real Slurm cluster of one node, this machine over its loopback: 200 pictures in an array of four tasks, one of
# them killed and requeued, merged, and held bit for bit against one plain run. As root; `./build.sh slurm` calls it.
#
#   slurm_test.sh PROGRAM SOURCE_FOLDER
set -euo pipefail
program=$(realpath "$1")
source_folder=$(realpath "$2")
work=$(mktemp -d)
declare -a daemons=()

finish() {
  for daemon in "${daemons[@]}"; do kill "$daemon" 2> /dev/null || true; done
  wait 2> /dev/null || true
  [[ -n ${KEEP:-} ]] || rm -rf "$work"
}
trap finish EXIT
fail() {
  printf 'slurm_test: FAILED: %s\n' "$1" >&2
  tail -n 5 "$work"/*.log "$work"/cut/.slurm-* >&2 2> /dev/null || true
  exit 1
}
# wait_until SECONDS COMMAND...
wait_until() {
  local i tries=$(($1 * 5))
  shift
  for ((i = 0; i < tries; ++i)); do
    "$@" && return 0
    sleep 0.2
  done
  return 1
}

# The cluster: an authentication daemon, the controller and the node, each with files of its own below $work.
chmod 755 "$work"
mkdir -p "$work"/munge "$work"/state "$work"/spool
dd if=/dev/urandom of="$work/munge/key" bs=1024 count=1 status=none
chmod 700 "$work/munge"
chmod 400 "$work/munge/key"
munged --foreground --force --num-threads=2 --key-file="$work/munge/key" --socket="$work/munge.socket" \
  --pid-file="$work/munge/pid" --log-file="$work/munge.log" --seed-file="$work/munge/seed" &
daemons+=($!)
cpus=$(nproc)
cat > "$work/slurm.conf" << END
ClusterName=loopback
SlurmctldHost=$(hostname -s)(127.0.0.1)
SlurmUser=root
SlurmdUser=root
AuthType=auth/munge
AuthInfo=socket=$work/munge.socket
CredType=cred/munge
SlurmctldPort=26817
SlurmdPort=26818
StateSaveLocation=$work/state
SlurmdSpoolDir=$work/spool
SlurmctldPidFile=$work/slurmctld.pid
SlurmdPidFile=$work/slurmd.pid
ProctrackType=proctrack/linuxproc
TaskPlugin=task/none
SelectType=select/cons_tres
SelectTypeParameters=CR_CPU
SchedulerType=sched/builtin
ReturnToService=2
MpiDefault=none
NodeName=$(hostname -s) NodeAddr=127.0.0.1 CPUs=$cpus State=UNKNOWN
PartitionName=all Nodes=ALL Default=YES MaxTime=INFINITE State=UP
END
export SLURM_CONF=$work/slurm.conf
wait_until 10 test -S "$work/munge.socket" || fail 'munged does not start'
slurmctld -D > "$work/slurmctld.log" 2>&1 &
daemons+=($!)
slurmd -D > "$work/slurmd.log" 2>&1 &
daemons+=($!)
node_is_idle() { sinfo -h -o %T 2> /dev/null | grep -q '^idle'; }
wait_until 30 node_is_idle || fail 'the node does not come up'

# 200 pictures: 10 artworks x 10 colourways and as drawn, less a rule, at 2 sizes.
mkdir -p "$work/art"
for i in $(seq 0 9); do
  printf '<svg xmlns="http://www.w3.org/2000/svg" width="30mm" height="42mm"><rect width="100%%" height="100%%" fill="#f4d35e"/>' > "$work/art/$i.svg"
  printf '<circle cx="%dmm" cy="20mm" r="8mm" fill="#0d3b66"/></svg>\n' $((8 + i)) >> "$work/art/$i.svg"
done
cp "$source_folder/assets-open/photos/green_staircase.png" "$work/photo.png"
sed -e 's#^file = .*#file = "photo.png"#' -e 's#^artwork = .*#artwork = "mark"#' \
  "$source_folder/scenes/stair_poster.toml" > "$work/stairs.toml"
{
  printf 'title = "Two hundred"\nscenes = ["stairs.toml"]\n'
  for i in $(seq 0 9); do printf '[[artwork]]\nname = "a%d"\nslots = { mark = "art/%d.svg" }\n' "$i" "$i"; done
  for i in $(seq 1 9); do printf '[[colourway]]\nname = "c%d"\nrecolour = { "#0d3b66" = "#10%d820" }\n' "$i" "$i"; done
  printf '[[output]]\nname = "small"\nsize = "320x240"\nformat = "jpeg"\n'
  printf '[[output]]\nname = "large"\nsize = "900x1200"\nformat = "png"\n'
} > "$work/run.toml"

export WHEATPASTE=$program WHEATPASTE_DATA=$source_folder
read -r _ array _ merge < <("$source_folder/shared/slurm/submit_batch.sh" "$work/run.toml" "$work/cut" 4 --cpus-per-task=1 | tr -d ,)
# One task dies in the middle of its work.
journal_of_2=$work/cut/.manifest-2-of-4.json.journal
has_begun() { [[ -f $journal_of_2 ]] && (($(wc -l < "$journal_of_2") >= 3)); }
wait_until 120 has_begun || fail 'the second task does not begin'
kill -KILL "$(pgrep -f "^$program batch .* --out $work/cut --shard 2/4 ")" || fail 'cannot kill the task'
is_over() { [[ -z $(squeue -h -j "${array}_2" -t RUNNING,COMPLETING 2> /dev/null) ]]; }
wait_until 60 is_over || fail 'the killed task goes on'
before=$(wc -l < "$journal_of_2")
[[ $before -ge 3 && $before -lt 50 ]] || fail "the killed task had made $before pictures of 50"
scontrol requeue "${array}_2" || fail 'cannot requeue the task'
# Slurm lets a requeued job wait two minutes unless told otherwise.
scontrol update JobId="${array}_2" StartTime=now || true
all_over() { [[ -z $(squeue -h 2> /dev/null) ]]; }
wait_until 300 all_over || fail 'the array does not end'
grep -q '200 pictures, 0 failed' "$work"/cut/.slurm-merge-* || fail 'the merge did not find 200 pictures'

"$program" batch "$work/run.toml" --out "$work/whole" --quiet
sums() { (cd "$1" && find . -type f ! -name '.*' ! -name '*.json' -print0 | sort -z | xargs -0 sha256sum); }
diff <(sums "$work/whole") <(sums "$work/cut") > /dev/null || fail 'the merged pictures differ from those of one run'
[[ $(sums "$work/cut" | wc -l) -eq 200 ]] || fail 'there are not 200 pictures'
# The records too, but for times.
plain() { sed -E 's/"(seconds|changed_ns)":[-0-9.e]+//g' "$1"; }
diff <(plain "$work/whole/manifest.json") <(plain "$work/cut/manifest.json") > /dev/null ||
  fail 'the merged record differs from that of one run'
printf 'slurm_test: passed: 200 pictures in 4 tasks, one killed after %d of its 50; the same bits as one run\n' "$before"
