#!/bin/sh
# demo.sh PROGRAM PHOTOS OUT -- the main job from card to report, on the invented photos beside this script.
# Makes a fresh claim folder OUT/elm-lane-418 and shows the commands as an adjuster would type them.
set -eu
program=$(cd "$(dirname "$1")" && pwd)/$(basename "$1")
photos=$(cd "$2" && pwd)
out=$3
rm -rf "$out"
mkdir -p "$out"
cd "$out"
claim=elm-lane-418

say() { printf '\n\033[1m%s\033[0m\n' "$*" | if [ -t 1 ]; then cat; else sed 's/\x1b\[[01]m//g'; fi; }
gablebook() { printf '$ gablebook'; for word; do case $word in *[!A-Za-z0-9./,=_-]* | '') printf " '%s'" "$word" ;; *) printf ' %s' "$word" ;; esac; done; echo; "$program" "$@"; }
said=0
tag() { # the first three are shown in full, the others run without a word
    said=$((said + 1))
    if [ $said -le 3 ]; then gablebook tag "$claim" "$@"; else "$program" tag "$claim" "$@" >/dev/null; fi
}

# Two houses were visited that day; this claim is about the first. truth.csv tells which photo is of which.
mkdir card
awk -F, 'FNR > 1 && $5 == 1 { print $1 }' "$photos/truth.csv" | while read -r file; do ln -s "$photos/$file" "card/$file"; done

say '1. A claim folder, and what stands on the property'
gablebook new $claim --insured 'Ada Quill' --claim-number H-20417 --address '418 Elm Lane (invented)' --cause 'hail and wind' \
    --loss-date 2026-05-12 --inspected 2026-05-14 --adjuster 'M. Tarn' --front-azimuth 205
gablebook structure $claim garage --elevations all --slopes left,right
gablebook structure $claim fence

say '2. The photos, as they came from two cameras'
gablebook import $claim card

say '3. What each shows: said once, in bunches'
tag 8 --place site --subject address --caption 'House number 418 at the drive'
tag 9-11 --place front --subject overview
tag 12 --place front --subject 'elevation detail' --caption 'Front elevation, the gable wing'
tag 13-16 --place front --subject 'screen damage'
tag 16 --distance close-up
tag 13 --distance mid-range
tag 14,15 --leave-out
tag 17 --place front --subject 'gutter damage'
tag 18,19 --place right --subject overview
tag 20,21 --place right --subject 'spatter marks'
tag 20 --distance mid-range
tag 22,23 --place right --subject 'downspout damage'
tag 22 --distance mid-range
tag 24 --place right --subject 'siding damage' --distance mid-range
tag 25 --place right --subject 'siding size' --value '4 in'
tag 26,27 --place rear --subject overview
tag 28 --place rear --subject 'elevation detail' --caption 'Rear elevation, the windows'
tag 1 --place rear --subject 'gutter damage'
tag 29 --place rear --subject 'condenser fins' --distance mid-range
tag 30-32 --place left --subject overview
tag 31 --leave-out
tag 33-35 --place left --subject 'siding damage'
tag 33 --distance mid-range
tag 35 --leave-out
tag 2,3 --place fence --subject 'fence damage'
tag 2 --subject fence --distance overview
tag 3 --distance mid-range
tag 4 --place 'garage front' --subject overview
tag 7 --place 'garage front' --subject 'garage door damage'
tag 5 --place 'garage right' --subject 'no damage seen'
tag 6 --place 'garage left' --subject 'no damage seen'
tag 36 --place 'left slope' --subject layers --value 1
tag 37 --place 'left slope' --subject 'drip edge'
tag 38 --place 'front slope' --subject overview
tag 39,40 --place 'front slope' --subject 'test square' --value 9
tag 40 --distance close-up
tag 41 --place 'front slope' --subject 'hail hit' --value '1.7 in'
tag 42 --place 'front slope' --subject pitch --value 6/12
tag 43 --place 'front slope' --subject 'pipe flashing'
tag 44 --place roof --subject 'ridge vent'
tag 45 --place 'right slope' --subject overview
tag 46,47 --place 'right slope' --subject 'test square' --value 7
tag 47 --distance close-up
tag 48 --place 'rear slope' --subject overview
tag 49,50 --place 'rear slope' --subject 'wind damage'
tag 49 --distance mid-range
tag 51 --place 'rear slope' --subject 'vent damage'
tag 52 --place 'left slope' --subject overview
tag 53 --place 'left slope' --subject 'test square' --value 3
tag 54 --place 'garage left slope' --subject 'no damage seen'
echo "... and $((said - 3)) more like these; gablebook history $claim tells them all."

say '4. The roof: a hip roof with a gable wing on the front; the garage was measured from the ground'
gablebook roof $claim dwelling hip --width '49 ft 2 1/2 in' --depth '27 ft 10 1/2 in' --overhang '15 3/4 in' --pitch 6/12
gablebook roof $claim 'front slope' triangle --cut-out --eave '19 ft 0 1/4 in' --run '9 ft 6 1/8 in' --pitch 6/12 >/dev/null
gablebook roof $claim 'left slope' trapezoid --section wing --sides valley,rake --eave '9 ft 10 in' --ridge '19 ft 4 1/4 in' --run '9 ft 6 1/8 in' --pitch 6/12 >/dev/null
gablebook roof $claim 'right slope' trapezoid --section wing --sides rake,valley --eave '9 ft 10 in' --ridge '19 ft 4 1/4 in' --run '9 ft 6 1/8 in' --pitch 6/12
gablebook roof $claim garage gable --width '19 ft 8 1/4 in' --depth '21 ft 8 in' --overhang '11 3/4 in' --pitch 8/12 --ridge-runs 'front to rear'
gablebook roof $claim --waste 12

say '5. What is there now'
gablebook list $claim --place 'front slope'

say '6. Is anything missing, before leaving?'
gablebook waive $claim 'overview garage right slope' --why '8/12, nothing to tie off to: not climbed' --as 'M. Tarn'
gablebook waive $claim 'condition garage right slope' --why '8/12, nothing to tie off to: not climbed' --as 'M. Tarn'
gablebook check $claim --short || true

say '7. The report'
gablebook report $claim
echo
echo "The report: $(pwd)/$claim/reports/photo-report.html"
echo "The claim:  $(pwd)/$claim  (try: $program check $(pwd)/$claim)"
