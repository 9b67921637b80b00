#!/usr/bin/env bash
# Sets up, builds, shows and tests the program on Debian 12. See the list that `./build.sh help` prints.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")"

# Debian packages, by what needs them. Whoever only wants the pictures needs the first two groups.

# Compiler, build system, and the libraries of cmake/dependencies.cmake.
build_packages=(
  g++ cmake ninja-build pkg-config
  libeigen3-dev libceres-dev libfmt-dev libtbb-dev libhwy-dev
  libopencv-core-dev libopencv-imgproc-dev libopencv-calib3d-dev
  libembree-dev libtinyobjloader-dev
  liblcms2-dev libjpeg62-turbo-dev libpng-dev zlib1g-dev libdeflate-dev libspng-dev libtiff-dev libwebp-dev libexif-dev libstb-dev
  librsvg2-dev libcairo2-dev libxml2-dev libpango1.0-dev libfontconfig-dev
  libtomlplusplus-dev libcli11-dev nlohmann-json3-dev nettle-dev
  libbenchmark-dev # looked for when the build is configured, whether or not it will be measured
)
# Programs and fonts that the program itself calls for: pdftocairo, lettering that is still text, the type of slides.
run_packages=(poppler-utils fontconfig fonts-dejavu-core fonts-ebgaramond fonts-lato)
# The test framework; programs that make test files or read ours with other eyes than our own; Clang
# with its sanitizers, fuzzer, formatter and linter.
test_packages=(
  catch2 python3-jsonschema openssl
  imagemagick libimage-exiftool-perl liblcms2-utils libtiff-tools librsvg2-bin pngcheck qpdf povray webp perl icc-profiles-free
  clang clang-format clang-tidy libclang-rt-14-dev llvm
)
# The review page in a real browser; what else that takes comes from npm, as tests/browser/package-lock.json pins it.
browser_packages=(chromium python3-jsonschema imagemagick poppler-utils)
# Measuring speed: the chain of ImageMagick calls we compare with.
bench_packages=(imagemagick)
# A cluster of one node, for `slurm`.
slurm_packages=(slurm-wlm munge)

fail() {
  printf 'build.sh: error: %s\n' "$1" >&2
  exit 2
}

# Installs those of the named packages that are not there yet; asks for nothing when all are.
install_missing() {
  command -v dpkg-query > /dev/null || fail 'no dpkg-query here: expected Debian 12 or a system like it'
  local -A have=()
  local state name
  while read -r state name; do
    [[ $state == ii ]] && have[$name]=1
  done < <(dpkg-query -W -f='${db:Status-Abbrev} ${Package}\n' "$@" 2> /dev/null)
  local missing=()
  for name in "$@"; do
    [[ -n ${have[$name]:-} ]] || missing+=("$name")
  done
  [[ ${#missing[@]} -gt 0 ]] || return 0

  local as_root=(env DEBIAN_FRONTEND=noninteractive)
  if [[ $EUID -ne 0 ]]; then
    command -v sudo > /dev/null ||
      fail "these packages are missing, and here is neither root nor sudo to install them: ${missing[*]}"
    as_root=(sudo "${as_root[@]}")
  fi
  printf 'Installing %s\n' "${missing[*]}"
  # Another package manager at work is waited for.
  local apt=("${as_root[@]}" apt-get -q -o DPkg::Lock::Timeout=300)
  "${apt[@]}" update
  "${apt[@]}" install -y --no-install-recommends "${missing[@]}" ||
    fail "apt-get could not install: ${missing[*]}"
}

# configure_and_build PRESET [TARGET...]; a configured folder re-configures itself when it must.
configure_and_build() {
  local preset=$1 folder=build
  shift
  [[ $preset == release ]] || folder=build-$preset
  [[ -f $folder/build.ninja ]] || cmake --preset "$preset"
  cmake --build --preset "$preset" ${1:+--target "$@"}
}

# run_tests PRESET [ctest arguments]
run_tests() {
  local folder=build
  [[ $1 == release ]] || folder=build-$1
  shift
  ctest --test-dir "$folder" --output-on-failure --no-tests=error -j "$(nproc)" "$@"
}

build_program() {
  install_missing "${build_packages[@]}" "${run_packages[@]}"
  configure_and_build release wheatpaste
}

demo() {
  build_program
  mkdir -p demo-out
  local scene name
  for scene in scenes/*.toml scenes/stage/*.toml; do
    name=$(basename "$scene" .toml)
    [[ $scene != scenes/stage/* ]] || name=stage_$name
    build/wheatpaste render "$scene" --out "demo-out/$name.png" --report "demo-out/$name.json"
    build/wheatpaste render "$scene" --out "demo-out/$name-small.jpg" --size 800x800
  done
  build/wheatpaste batch scenes/pitch/first_round.toml --out demo-out/pitch
  local command
  for command in slides sheet review; do
    build/wheatpaste "$command" demo-out/pitch
  done
  printf '\nThe pictures are in %s: NAME.png as large as the photograph (stage_NAME.png: one that the program took itself),\n' "$PWD/demo-out"
  printf 'NAME-small.jpg to send, and of a pitch pitch/slides.pdf to present, pitch/sheet.pdf at a glance, pitch/review.html for the client.\n'
}

install_for_tests() {
  install_missing "${build_packages[@]}" "${run_packages[@]}" "${test_packages[@]}"
}

# GCC, release: every test.
unit() {
  install_for_tests
  configure_and_build release
  run_tests release
}

format() {
  install_for_tests
  find renderer tests -name '*.cc' -print0 -o -name '*.h' -print0 |
    xargs -0 clang-format --dry-run -Werror
  printf 'formatting: as .clang-format says\n'
}

# Clang, address and undefined-behaviour sanitizers: the tests of the folders that read what comes from outside, of the
# pixel loops below the compositor, and the whole program with hostile input (`hostile` runs the code of every folder).
# `all` adds the other folders, numbers by the hundred thousand that take three times as long. The ray tracer's pictures
# judge colours, which do not depend on the build.
sanitize() {
  local which=${1:-most} left_out='ref|base|colour|geometry|surface|light|stage|composite|brand|cli|published' tests file
  [[ $which == most || $which == all ]] || fail "sanitize $which: expected sanitize, or sanitize all"
  [[ $which == most ]] || left_out=ref
  install_for_tests
  tests=$(for file in tests/*/*_test.cc; do basename "$(dirname "$file")"; done | sort -u |
    grep -vxE "$left_out")
  # shellcheck disable=SC2086  # one target a word
  configure_and_build fuzz wheatpaste $(printf 'test_%s ' $tests)
  # shellcheck disable=SC2086
  run_tests fuzz -R "^($(printf '%s|' $tests)include_direction)$"
}

# Each fuzz target on its corpus for some seconds; what it finds new is thrown away, crashes are kept.
fuzz() {
  local seconds=${1:-600}
  [[ $seconds =~ ^[1-9][0-9]*$ ]] || fail "fuzz $seconds: expected whole seconds, such as fuzz 600"
  install_for_tests
  local scratch source name
  # shellcheck disable=SC2046  # one target a word
  configure_and_build fuzz $(for source in tests/fuzz/*_fuzz.cc; do echo "fuzz_$(basename "$source" _fuzz.cc)"; done)
  scratch=$(mktemp -d)
  # shellcheck disable=SC2064  # the folder of now, not of then
  trap "rm -rf '$scratch'" EXIT
  for source in tests/fuzz/*_fuzz.cc; do
    name=$(basename "$source" _fuzz.cc)
    mkdir -p "$scratch/$name" build-fuzz/findings
    "build-fuzz/tests/fuzz/fuzz_$name" -max_total_time="$seconds" -rss_limit_mb=4096 -max_len=65536 \
      -timeout=30 -verbosity=0 -print_final_stats=1 -artifact_prefix=build-fuzz/findings/ \
      "$scratch/$name" "tests/fuzz/corpus/$name"
  done
}

# Thread sanitizer on the folders with parallel loops.
tsan() {
  install_for_tests
  configure_and_build tsan test_image test_composite
  run_tests tsan -R '^(image|composite)$'
}

tidy() {
  install_for_tests
  [[ -f build/compile_commands.json ]] || cmake --preset release
  find renderer -name '*.cc' -print0 | xargs -0 -n 1 -P "$(nproc)" clang-tidy -p build --quiet
}

# The review page in Chromium. Node and npm may come from elsewhere than Debian, and are asked for only where they lack.
browser() {
  command -v node > /dev/null || browser_packages+=(nodejs)
  command -v npm > /dev/null || browser_packages+=(npm)
  install_missing "${build_packages[@]}" "${run_packages[@]}" "${browser_packages[@]}"
  configure_and_build release wheatpaste
  local stamp=tests/browser/node_modules/.package-lock.json
  [[ $stamp -nt tests/browser/package-lock.json ]] || npm ci --prefix tests/browser --ignore-scripts
  WHEATPASTE=$PWD/build/wheatpaste node --test tests/browser/review_test.mjs
}

bench() {
  install_missing "${build_packages[@]}" "${run_packages[@]}" "${bench_packages[@]}"
  configure_and_build release bench
  build/bench "$@"
}

# A batch on a real Slurm cluster that is this machine alone. As root, as the cluster's daemons want it.
slurm() {
  [[ $EUID -eq 0 ]] || fail 'slurm: expected to be run as root'
  install_missing "${build_packages[@]}" "${run_packages[@]}" "${slurm_packages[@]}"
  configure_and_build release wheatpaste
  tests/slurm/slurm_test.sh build/wheatpaste .
}

# One step of `test`: runs it as a command of its own, counts its tests, or the step as one.
passed=0
failed=0
step() {
  local log status=0 line
  printf '\n== %s\n' "$*"
  log=$(mktemp)
  SECONDS=0
  bash ./build.sh "$@" 2>&1 | tee "$log" || status=$?
  printf '== %s: %s, %d s\n' "$*" "$([[ $status -eq 0 ]] && echo passed || echo FAILED)" "$SECONDS"
  line=$(grep -E '^[0-9]+% tests passed, ' "$log" | tail -n 1 || true)
  rm -f "$log"
  if [[ $line =~ ,\ ([0-9]+)\ tests\ failed\ out\ of\ ([0-9]+) ]]; then
    failed=$((failed + BASH_REMATCH[1]))
    passed=$((passed + BASH_REMATCH[2] - BASH_REMATCH[1]))
    # A step that failed although its tests passed has failed.
    [[ $status -eq 0 || ${BASH_REMATCH[1]} -gt 0 ]] || failed=$((failed + 1))
  elif [[ $status -eq 0 ]]; then
    passed=$((passed + 1))
  else
    failed=$((failed + 1))
  fi
}

run_all_tests() {
  install_for_tests
  step unit
  step format
  step sanitize
  step fuzz 5
  step browser
  printf '\n%d passed, %d failed\n' "$passed" "$failed"
  [[ $failed -eq 0 ]]
}

usage() {
  cat << 'END'
./build.sh demo        install what is missing, build, render every scene of scenes/ into demo-out/
./build.sh test        the same set-up, then everything below down to browser (fuzz: 5 seconds a target)
./build.sh unit        all tests, release build with GCC; those of the SIMD folders also built without SIMD
./build.sh format      is every file as clang-format would write it?
./build.sh sanitize    Clang build with address and undefined-behaviour sanitizers: readers, pixel loops, hostile input;
                       sanitize all: all tests but those of the ray tracer
./build.sh fuzz [S]    each fuzz target for S seconds (600)
./build.sh browser     the review page in Chromium: what a client does with it, accessibility, markup
./build.sh tsan        the parallel folders' tests under the thread sanitizer
./build.sh tidy        clang-tidy over renderer/
./build.sh slurm       as root: a batch on a Slurm cluster of one node, set up for it; one task killed and requeued
./build.sh build       the program alone: build/wheatpaste
./build.sh bench       measure speed
END
}

command=${1:-help}
shift || true
case $command in
  demo) demo ;;
  test) run_all_tests ;;
  build) build_program ;;
  unit | format | sanitize | fuzz | browser | tsan | tidy | slurm | bench) "$command" "$@" ;;
  help | -h | --help) usage ;;
  *)
    usage >&2
    fail "$command: unknown command"
    ;;
esac
