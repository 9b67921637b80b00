#!/bin/sh
# make_profiles.sh - the press profiles of this folder, from published characterisation data.
#
# Use     ./make_profiles.sh FOLDER [NAME]...   FOLDER holds the .ti3 files named below; NAME picks some of the profiles
# Needs   colprof of Argyll (Debian 12: argyll 2.3.1); about a minute and a half each
# Bytes   are the same every time: the date of creation, the only thing that would differ, is set to one day
#         (ICC.1:2022, 7.2.8: bytes 24 to 35 of the header)
set -eu
data=$1
shift
here=$(cd "$(dirname "$0")" && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

# profile's name, characterisation data, most ink in percent, description, where the data come from
make() {
  name=$1 source=$2 limit=$3 description=$4 origin=$5
  case " $wanted " in *" $name "* | "  ") ;; *) return ;; esac
  cp "$data/$source.ti3" "$work/$source.ti3"
  chmod u+w "$work/$source.ti3"
  # -qm -bh: tables of 9 points a side from ink to colour (the fit is in README.md), 33 from colour to ink: with fewer, colours
  # that the press holds come back changed by 0.7 CIEDE2000 in the mean instead of 0.3.
  # -kr: black rises as the colour darkens. -nc: without a copy of the data.
  nice colprof -qm -bh -kr -nc "-l$limit" -D "$description" -C "$origin" -O "$work/$name.icc" "$work/$source"
  printf '\007\320\000\001\000\001\000\000\000\000\000\000' |
    dd of="$work/$name.icc" bs=1 seek=24 conv=notrunc status=none
  mv "$work/$name.icc" "$here/$name.icc"
  printf '%s: ' "$name"
  profcheck -c -k "$work/$source.ti3" "$here/$name.icc" | tail -1
}

cc0='Made from characterisation data of the colord project, CC0 1.0; this profile: CC0 1.0. Data:'
cgats='Based on characterisation data of a Technical Report, Copyright 2007 NPES; profiles may be distributed. Source:'
wanted="$*"
make coated_offset FOGRA39L_coated 330 'Coated offset (FOGRA39L)' "$cc0 FOGRA39L, Fogra, December 2006"
make uncoated_offset FOGRA47L_uncoated 300 'Uncoated offset (FOGRA47L)' "$cc0 FOGRA47L, Fogra, March 2009"
make magazine FOGRA45L_lwc 300 'Magazine, light coated (FOGRA45L)' "$cc0 FOGRA45L, Fogra, March 2009"
make newsprint IFRA26S_2004_newsprint 240 'Newsprint (IFRA26S)' "$cc0 Ifra26S, Ifra, June 2004"
make us_coated_sheetfed GRACoL_TR006_coated 320 'US coated sheetfed (TR 006)' "$cgats ANSI CGATS/GRACoL TR 006-2007"
make us_web_coated SWOP_TR003_coated_3 300 'US web coated (TR 003)' "$cgats ANSI CGATS/SWOP TR 003-2007"
make us_newsprint SNAP_TR002_newsprint 240 'US newsprint (TR 002)' "$cgats ANSI CGATS/SNAP TR 002-2007"
