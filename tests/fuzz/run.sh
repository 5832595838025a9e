#!/bin/sh
# run.sh OUT SECONDS|short [NAME] -- run the fuzz targets that were built in OUT, or the one of that name.
#
# A number: each for so many seconds. What it finds new is kept in OUT/found/NAME and goes on from there the next time.
# short: the seeds and the same few thousand inputs every time, for make check.
# An input that breaks a target is left in OUT/broken/NAME-*; it becomes a seed, with a test, when it is mended.
set -u
out=$1 seconds=$2 only=${3:-}
here=$(dirname "$0")

# So many inputs make a second or two of each.
runs_of() {
    case $1 in
    request) echo 400 ;;
    checklist) echo 2000 ;;
    picture) echo 1500 ;;
    template | words) echo 15000 ;;
    *) echo 30000 ;;
    esac
}

failed=''
mkdir -p "$out/broken"
for source in "$here"/fuzz_*.c; do
    name=${source##*/fuzz_}
    name=${name%.c}
    [ -z "$only" ] || [ "$only" = "$name" ] || continue
    if [ "$seconds" = short ]; then
        found=$out/short/$name
        rm -rf "$found"
        set -- -runs="$(runs_of "$name")" -seed=1
    else
        found=$out/found/$name
        set -- -max_total_time="$seconds" -print_final_stats=1
    fi
    mkdir -p "$found"
    [ ! -f "$here/$name.dict" ] || set -- "$@" -dict="$here/$name.dict"
    log=$out/$name.log
    # No input may take 20 seconds, 1 GB in one piece, or 2.5 GB in all.
    if "$out/tests/fuzz/fuzz_$name" "$@" -timeout=20 -malloc_limit_mb=1024 -rss_limit_mb=2560 -max_len=16384 \
        -artifact_prefix="$out/broken/$name-" "$found" "$here/corpus/$name" >"$log" 2>&1; then
        printf 'fuzz: %-10s %s\n' "$name" "$(sed -n 's/^Done \(.*\)$/\1/p' "$log")"
    else
        failed="$failed $name"
        tail -n 60 "$log"
    fi
done
[ -z "$failed" ] || { echo "fuzz: broken:$failed (see $out/broken/)"; exit 1; }
