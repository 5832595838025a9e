#!/bin/sh
# demo.sh PROGRAM PHOTOS OUT -- the main job from card to report, on the invented photos beside this script.
# Makes fresh claim folders in OUT, OUT/elm-lane-418 among them, and shows the commands as an adjuster would type them.
set -eu
program=$(cd "$(dirname "$1")" && pwd)/$(basename "$1")
photos=$(cd "$2" && pwd)
out=$3
rm -rf "$out"
mkdir -p "$out"
cd "$out"
claim=elm-lane-418

say() { printf '\n\033[1m%s\033[0m\n' "$*" | if [ -t 1 ]; then cat; else sed 's/\x1b\[[01]m//g'; fi; }
typed() { printf '$ gablebook'; for word; do case $word in *[!A-Za-z0-9./,=_-]* | '') printf " '%s'" "$word" ;; *) printf ' %s' "$word" ;; esac; done; }
gablebook() { typed "$@"; echo; "$program" "$@"; }
part() { # of a long answer, LINES as sed counts them
    lines=$1
    shift
    typed "$@"
    echo " | sed -n $lines"
    "$program" "$@" | sed -n "$lines"
}
quietly() { "$program" "$@" >/dev/null; }

# The day's card: links to the pictures, and nothing of what else lies beside them.
mkdir card
ln -s "$photos"/*.JPG card/

say "1. The day's card: which photos belong together?"
gablebook visits card --into today
echo "\$ mv today/2026-05-14-property-1 $claim"
mv today/2026-05-14-property-1 $claim

say '2. The facts of the claim, and what else stands on the property'
gablebook edit $claim --insured 'Ada Quill' --claim-number H-20417 --address '418 Elm Lane (invented)' --cause 'hail and wind' \
    --loss-date 2026-05-12 --adjuster 'M. Tarn' --front-azimuth 205
gablebook structure $claim garage --elevations all --slopes left,right
gablebook structure $claim fence
gablebook brief $claim

say '3. Two cameras: how right were their clocks?'
gablebook clock $claim

say '4. Which side of what is in each photo? Say it of a few, and the others are suggested'
part 1,5p suggest $claim
gablebook tag $claim 8 --place site --subject address --caption 'House number 418 at the drive'
gablebook tag $claim 2,3 --place fence --subject 'fence damage'
gablebook tag $claim 4,7 --place 'garage front'
for shots in "36,37,52 --place 'left slope'" "38 --place 'front slope'" "45-47 --place 'right slope'" "48 --place 'rear slope'"; do
    eval "quietly tag $claim $shots"
done
echo '... and so with one or two of each slope.'
gablebook suggest $claim --accept 0.9
gablebook suggest $claim

say '5. Correct what is wrong, confirm what is right'
gablebook tag $claim 5 --place 'garage right'
gablebook tag $claim 6 --place 'garage left'
gablebook tag $claim 54 --place 'garage left slope'
gablebook suggest $claim --accept 0.5
gablebook tag $claim 44 --place roof
gablebook tag $claim 53 --place 'left slope'

say '6. What is on them: said once, in bunches'
gablebook tag $claim 9-11,18,19,26,27,30-32,38,45,48,52 --subject overview
gablebook tag $claim 39,40 --subject 'test square' --value 9
while read -r shots words; do
    eval "quietly tag $claim $shots $words"
done <<'END'
4        --subject overview
12       --subject 'elevation detail' --caption 'Front elevation, the gable wing'
13-16    --subject 'screen damage'
16       --distance close-up
13       --distance mid-range
14,15    --leave-out
17       --subject 'gutter damage'
20,21    --subject 'spatter marks'
20       --distance mid-range
22,23    --subject 'downspout damage'
22       --distance mid-range
24       --subject 'siding damage' --distance mid-range
25       --subject 'siding size' --value '4 in'
28       --subject 'elevation detail' --caption 'Rear elevation, the windows'
1        --subject 'gutter damage'
29       --subject 'condenser fins' --distance mid-range
31       --leave-out
33-35    --subject 'siding damage'
33       --distance mid-range
35       --leave-out
2        --subject fence --distance overview
3        --distance mid-range
7        --subject 'garage door damage'
5,6,54   --subject 'no damage seen'
36       --subject layers --value 1
37       --subject 'drip edge'
40       --distance close-up
41       --subject 'hail hit' --value '1.7 in'
42       --subject pitch --value 6/12
43       --subject 'pipe flashing'
44       --subject 'ridge vent'
46,47    --subject 'test square' --value 7
47       --distance close-up
49,50    --subject 'wind damage'
49       --distance mid-range
51       --subject 'vent damage'
53       --subject 'test square' --value 3
END
echo "... and some more like these; gablebook history $claim tells them all."
gablebook list $claim --place 'front slope'

say '7. What was seen, counted and told beside the photos; what a photo says already is not typed again'
gablebook fact $claim roof covering 'laminated asphalt shingle'
gablebook fact $claim roof 'age of the covering' '12-15 years' --how told --note 'owner, on site'
while read -r words; do
    eval "quietly fact $claim $words"
done <<'END'
roof condition good --note 'this loss left aside'
roof pitch 6/12
roof 'drip edge' 'eaves and rakes'
roof 'ridge vent' 'shingle over'
roof 'pipe flashings' 2
roof access walked
dwelling storeys 1
dwelling 'siding kind' vinyl
front 'gutter size' '5 in' --shots 17
fence 'fence kind' wood
fence 'fence height' '6 ft'
END
gablebook square $claim 'front slope' --hits 9
gablebook square $claim 'rear slope' --not-drawn 'obvious: torn open by the wind from ridge to eave' --as 'M. Tarn'
gablebook square $claim --threshold 8 --source 'guide of the carrier' --as 'M. Tarn'
gablebook note $claim 'Owner was present and showed the attic; no leak seen there.' --report --as 'M. Tarn'
gablebook note $claim 'Dog in the yard: ring first.'
gablebook fact $claim
gablebook square $claim

say '8. The roof: a hip roof with a gable wing on the front; the garage was measured from the ground'
gablebook roof $claim dwelling hip --width '49 ft 2 1/2 in' --depth '27 ft 10 1/2 in' --overhang '15 3/4 in' --pitch 6/12
quietly roof $claim 'front slope' triangle --cut-out --eave '19 ft 0 1/4 in' --run '9 ft 6 1/8 in' --pitch 6/12
quietly roof $claim 'left slope' trapezoid --section wing --sides valley,rake --eave '9 ft 10 in' --ridge '19 ft 4 1/4 in' --run '9 ft 6 1/8 in' --pitch 6/12
gablebook roof $claim 'right slope' trapezoid --section wing --sides rake,valley --eave '9 ft 10 in' --ridge '19 ft 4 1/4 in' --run '9 ft 6 1/8 in' --pitch 6/12
gablebook roof $claim garage gable --width '19 ft 8 1/4 in' --depth '21 ft 8 in' --overhang '11 3/4 in' --pitch 8/12 --ridge-runs 'front to rear'
quietly roof $claim --waste 12
part 8,13p roof $claim

say '9. What was found: what did it, what is to be done, how much; quantities may follow the roof'
found() { # the first three are shown in full, as above
    findings=$((${findings:-0} + 1))
    if [ $findings -le 3 ]; then gablebook finding "$claim" add "$@"; else "$program" finding "$claim" add "$@" >/dev/null; fi
}
found --shots 13,16 --cause hail --action replace --quantity 2
found --place 'front slope' --component shingles --cause hail --action replace --quantity '= squares with waste' --shots 38-41
found --place roof --component 'drip edge' --cause hail --action replace --quantity = --shots 37
found --place 'right slope' --component shingles --cause hail --action replace --quantity '= squares with waste' --shots 45-47
found --place 'left slope' --component shingles --cause hail --action replace --quantity '= squares with waste' --shots 52,53
found --place 'rear slope' --component shingles --cause wind --action replace --quantity '= squares with waste' --shots 48-50
found --place roof --component 'ridge vent' --cause hail --action detach --quantity = --shots 44
found --place 'front slope' --component 'pipe flashing' --cause hail --action replace --quantity 1 --shots 43
found --shots 51 --cause wind --action replace --quantity 1
found --shots 17 --cause hail --action replace --quantity =
found --shots 1 --cause hail --action replace --quantity =
found --shots 22,23 --cause hail --action replace --quantity '9 ft'
found --shots 24 --cause hail --action replace --quantity '180 SF'
found --shots 33,34 --cause hail --action replace --quantity '240 SF' --note 'cracked in three courses under the eave'
found --shots 29 --cause hail --action repair --quantity 1 --note 'fins can be combed'
found --shots 7 --cause hail --action replace --quantity 2
found --shots 2,3 --cause hail --action clean --quantity '48 ft'
echo "... and $((findings - 3)) more; they prove each other in the report and make the scope sheet."
gablebook scope $claim
gablebook scope $claim --html

say '10. Is anything missing, before leaving?'
gablebook waive $claim 'overview garage right slope' --why '8/12, nothing to tie off to: not climbed' --as 'M. Tarn'
gablebook waive $claim 'condition garage right slope' --why '8/12, nothing to tie off to: not climbed' --as 'M. Tarn'
gablebook check $claim --short || true
gablebook check $claim --leaving || true

say '11. The report'
gablebook report $claim
echo
echo "The report: $(pwd)/$claim/reports/photo-report.html"
echo "The claim:  $(pwd)/$claim  (try: $program check $(pwd)/$claim)"
