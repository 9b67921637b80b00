#!/bin/sh
# Renders one stage: make.sh paper_cup|seed_carton|tote_bag [long side px]. Needs povray 3.7, python3 with numpy and scipy,
# ImageMagick. The camera is written in px of the full picture; a smaller picture shows the same view.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
name=$1
work=${WORK:-$(mktemp -d)}
fine=1
. "$here/$name/stage.sh"          # width height focus blur seed exposure, perhaps fine
long=${2:-0}
if [ "$long" -gt 0 ]; then
  if [ "$width" -ge "$height" ]; then height=$((height * long / width)); width=$long
  else width=$((width * long / height)); height=$long; fi
fi
[ "$long" -gt 0 ] && [ "$long" -lt 900 ] && fine=0
cd "$here/$name"
trace() {
  povray +I"$name.pov" +O"$work/$1.png" +L"$here" +L"$here/textures" +L"$work" +W"$width" +H"$height" +FN16 File_Gamma=1.0 \
    Declare=Pass="$2" Declare=Fine="$fine" +WT1 -D -V +AM2 "$3" "$4" "$5" 2>"$work/$1.log" || { grep -i -B3 -A3 error "$work/$1.log"; exit 1; }
}
trace plate 0 -UA +A0.25 +R2
trace object 1 +UA +A0.08 +R2
trace depth 2 -UA +A0.2 +R1
python3 "$here/finish.py" "$work/plate.png" "$work/object.png" "$work/depth.png" "${OUT:-$here/$name/$name.jpg}" \
  --focus "$focus" --blur "$blur" --seed "$seed" --exposure "$exposure"
