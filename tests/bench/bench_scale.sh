#!/bin/sh
# bench_scale.sh PROGRAM PHOTOS OUT [LARGE] -- whether 10,000 photos (LARGE) cost each what 200 do.
#
# Photos of 1008 x 756 pixels, so that what is not decoding weighs more than on a real card and the copies stay in memory. Then the
# commands on claims of a tenth and of all of them under callgrind: instructions, which no other load on the machine changes. Ten times
# the photos may take ten times the instructions and a little more for sorting; a square would show as a hundred times.
# Nothing here passes or fails.
set -eu
program=$(cd "$(dirname "$1")" && pwd)/$(basename "$1")
bench=$(cd "$(dirname "$0")" && pwd)
photos=$(cd "$2" && pwd)
out=$3
large=${4:-10000}
tenth=$((large / 10))
mkdir -p "$out"
cd "$out"
sh "$bench/make_card.sh" "$photos" card-large "$large" 1008x756
rm -rf scale scale.times
mkdir scale
ls card-large/* | head -n 200 >scale/200
ls card-large/* | head -n $tenth >scale/$tenth
ls card-large/* >scale/$large
cat card-large/* >/dev/null

claim() { "$program" new "scale/c$1" --insured Bench --cause hail >/dev/null; }
# Seconds and kB of an import of so many.
import() {
    claim "$1"
    sync
    xargs -n "$large" -s 2000000 -a "scale/$1" /usr/bin/time -o scale/time -f '%e %M %U %S' "$program" import "scale/c$1" >/dev/null 2>&1
    cat scale/time
}
echo "photos of 1008 x 756, $(du -sm card-large | cut -f1) MB for $large; $(nproc) processors"
for n in 200 $tenth $large; do
    import $n >scale/$n.time
    awk -v n=$n '{ printf "  import of %5d: %6.2f s, %.2f ms of processor time each, peak %d MB\n", n, $1, 1000 * ($3 + $4) / n, $2 / 1024 }' scale/$n.time
done
awk -v a="$(awk '{ print ($3 + $4) / 200 }' scale/200.time)" -v b="$(awk -v n="$large" '{ print ($3 + $4) / n }' scale/$large.time)" \
    'BEGIN { printf "cost of a photo among 10,000 / among 200          %.2f   (wanted: at most 1.1)\n", b / a }'
instructions() {
    valgrind --tool=callgrind --callgrind-out-file=/dev/null "$program" "$@" 2>&1 >/dev/null | awk '/refs:/ { gsub(",", "", $NF); print $NF }'
}
for command in list check suggest; do
    /usr/bin/time -o scale/time -f '%e %U %S' "$program" $command scale/c$large >/dev/null 2>&1 || true
    seconds=$(tail -n 1 scale/time | awk '{ printf "%.3f", $2 + $3 }')
    few=$(instructions $command scale/c$tenth)
    many=$(instructions $command scale/c$large)
    awk -v c=$command -v s="$seconds" -v f="$few" -v m="$many" -v n=$tenth \
        'BEGIN { printf "%-8s of 10 x %d: %s s of processor time (wanted: under 0.1); %.0f M instructions, %.1f times those of %d\n", c, n, s, m / 1e6, m / f, n }'
done
rm -rf scale
