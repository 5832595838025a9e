#!/bin/sh
# bench_report.sh PROGRAM PHOTOS OUT [COUNT [ROUNDS]] -- how fast reports are built.
#
# COUNT photos of 12 megapixels (100), made of PHOTOS. Each round makes the pictures anew: with vipsthumbnail in two processes, as a
# first HTML report, as a first PDF; then a caption is changed and the report is built again. The order turns from round to round,
# medians are compared. Nothing here passes or fails.
set -eu
program=$(cd "$(dirname "$1")" && pwd)/$(basename "$1")
photos=$(cd "$2" && pwd)
out=$3
count=${4:-100}
rounds=${5:-5}
mkdir -p "$out"
cd "$out"

# Ten pictures, and of each as many cut-outs as are wanted, a block of pixels apart: no two are alike, and nothing is compressed again.
make_card() {
    rm -rf card base
    mkdir card base
    n=0
    for f in "$photos"/IMG_21*.JPG; do
        [ $n -lt 10 ] || break
        convert "$f" -auto-orient -strip -resize '4992x3984!' -attenuate 0.25 +noise Gaussian -quality 88 "base/$n.jpg"
        n=$((n + 1))
    done
    i=0
    while [ $i -lt "$count" ]; do
        at=$((i / 10 * 16 % 960))
        jpegtran -crop "4032x3024+$at+$at" -outfile "card/$(printf 'B%04d.JPG' $i)" "base/$((i % 10)).jpg"
        i=$((i + 1))
    done
    rm -rf base
}

[ "$(ls card 2>/dev/null | wc -l)" = "$count" ] || make_card
rm -rf claim
"$program" new claim --insured 'Bench' --cause hail >/dev/null
"$program" import claim card | tail -n 1
sleep 3 # originals that were just written are not yet taken for settled

# Seconds, peak memory (kB), seconds of processor time of a command, appended to NAME.times.
measure() {
    name=$1
    shift
    /usr/bin/time -a -o "$name.times" -f '%e %M %U %S' "$@" >/dev/null
}
forget() { rm -rf claim/cache thumbs; mkdir thumbs; sync; }
vips() { forget; measure vips sh -c 'ls card/*.JPG | xargs -P 2 -n '$(((count + 1) / 2))' vipsthumbnail -s 1600 -o "$PWD/thumbs/%s.jpg"'; }
html() { forget; measure html "$program" report claim --picture-size 1600; }
pdf() { forget; measure pdf "$program" report claim --pdf --picture-size 1600; }
again() {
    "$program" report claim --picture-size 1600 >/dev/null
    "$program" report claim --pdf --picture-size 1600 >/dev/null
    "$program" tag claim 7 --caption "Round $1" >/dev/null
    measure again "$program" report claim --picture-size 1600
    measure again-pdf "$program" report claim --pdf --picture-size 1600
}

rm -f ./*.times
r=0
while [ $r -lt "$rounds" ]; do
    r=$((r + 1))
    case $((r % 3)) in
    0) vips; html; again $r; pdf ;;
    1) html; again $r; pdf; vips ;;
    2) pdf; vips; html; again $r ;;
    esac
done

median() { awk -v cpu="$2" '{ print cpu ? $3 + $4 : $1 }' "$1.times" | sort -n | awk '{ v[NR] = $1 } END { print NR % 2 ? v[(NR + 1) / 2] : (v[NR / 2] + v[NR / 2 + 1]) / 2 }'; }
peak() { awk '$2 > m { m = $2 } END { printf "%.0f", m / 1024 }' "$1.times"; }
echo "$count photos of 12 megapixels, $(du -sm card | cut -f1) MB, pictures of 1600 px; medians of $rounds rounds"
echo "machine: $(nproc) processors, $(sed -n 's/^model name[^:]*: //p' /proc/cpuinfo | head -n 1)"
for m in vips html pdf again again-pdf; do
    printf '  %-10s %7.2f s   %6.2f s of processor time   peak %4d MB\n' "$m" "$(median $m '')" "$(median $m cpu)" "$(peak $m)"
done
awk -v v="$(median vips '')" -v h="$(median html '')" -v p="$(median pdf '')" -v a="$(median again '')" -v b="$(median again-pdf '')" 'BEGIN {
    printf "first HTML / vipsthumbnail in two processes  %.2f   (wanted: at most 1)\n", h / v
    printf "first PDF / first HTML                       %.2f   (wanted: at most 1.1)\n", p / h
    printf "HTML after one caption / first               %.1f %% (wanted: under 5 %%)\n", 100 * a / h
    printf "PDF after one caption / first                %.1f %% (wanted: under 5 %%)\n", 100 * b / p
}'
