#!/bin/sh
# bench_import.sh PROGRAM PHOTOS OUT [ROUNDS] -- how fast a card is imported.
#
# 200 photos of 12 megapixels (make_card.sh). Each round: vipsthumbnail in two processes, which only makes the previews; the whole import;
# the import until all is safe (--later); exiftool; import --dry-run. The order turns from round to round, medians are compared. Every
# run writes into a folder of its own and nothing is deleted before the end: where files were just deleted, making new ones is slower.
# Nothing here passes or fails.
set -eu
program=$(cd "$(dirname "$1")" && pwd)/$(basename "$1")
bench=$(cd "$(dirname "$0")" && pwd)
photos=$(cd "$2" && pwd)
out=$3
rounds=${4:-5}
mkdir -p "$out"
cd "$out"
sh "$bench/make_card.sh" "$photos" card 200
rm -rf runs ./*.times
mkdir runs
cat card/* >/dev/null # into memory: the card's own speed is not what is measured
n=0

# Seconds, peak memory (kB), seconds of processor time of a command, appended to NAME.times.
measure() {
    name=$1
    shift
    /usr/bin/time -a -o "$name.times" -f '%e %M %U %S' "$@" >/dev/null 2>&1
}
fresh() {
    n=$((n + 1))
    run=$PWD/runs/$n
    mkdir "$run"
    sync
}
claim() {
    fresh
    "$program" new "$run/claim" --insured Bench --cause hail >/dev/null
    sync
}
vips() { fresh; measure vips sh -c "ls card/*.JPG | xargs -P 2 -n 100 vipsthumbnail -s 320 -o $run/%s.jpg"; }
whole() { claim; measure whole "$program" import "$run/claim" card; }
safe() { claim; measure safe "$program" import "$run/claim" card --later; last=$run/claim; }
tool() { measure exiftool exiftool -fast2 -j card; }
dry() { claim; measure dry "$program" import "$run/claim" card --dry-run; }

r=0
while [ $r -lt "$rounds" ]; do
    case $((r % 3)) in
    0) vips; whole; safe; tool; dry ;;
    1) safe; vips; whole; dry; tool ;;
    2) whole; safe; vips; tool; dry ;;
    esac
    r=$((r + 1))
done
i=0
while [ $i -lt 20 ]; do
    measure start "$program" list "$last"
    i=$((i + 1))
done

median() { sort -n "$1.times" | awk -v column="$2" '{ v[NR] = $column } END { print v[int((NR + 1) / 2)] }'; }
cpu() { awk '{ print $3 + $4 }' "$1.times" | sort -n | awk '{ v[NR] = $1 } END { print v[int((NR + 1) / 2)] }'; }
ratio() { awk -v a="$(median "$1" 1)" -v b="$(median "$2" 1)" 'BEGIN { printf "%.2f", a / b }'; }
echo "200 photos of 12 megapixels, $(du -sm card | cut -f1) MB; medians of $rounds rounds"
echo "machine: $(nproc) processors, $(sed -n 's/^model name[^:]*: //p' /proc/cpuinfo | head -n 1)"
for name in vips whole safe exiftool dry start; do
    printf '  %-9s %6.2f s   %6.2f s of processor time   peak %4d MB\n' $name "$(median $name 1)" "$(cpu $name)" $(($(median $name 2) / 1024))
done
echo "whole import / vipsthumbnail in two processes     $(ratio whole vips)   (wanted: at most 0.65)"
echo "until all is safe / vipsthumbnail                 $(ratio safe vips)   (wanted: at most 0.15)"
echo "import --dry-run / exiftool -fast2                $(ratio dry exiftool)   (wanted: under 0.5)"
echo "start-up: list of 200 photos                      $(awk '{ s += $3 + $4 } END { printf "%.0f", 1000 * s / NR }' start.times) ms of processor time (wanted: under 20)"
rm -rf runs
