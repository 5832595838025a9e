#!/bin/sh
# pictures.sh PROGRAM DEMO DOCS -- the pictures of these pages, of the real screens, from the demo's claims. Run by make docs-pictures; GB_NPM
# names the folder with playwright-core.
# SPDX-License-Identifier: GPL-3.0-or-later
set -eu
program=$(cd "$(dirname "$1")" && pwd)/$(basename "$1")
demo=$(cd "$2" && pwd)
docs=$(cd "$3" && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
export XDG_CONFIG_HOME="$work/config"
"$program" settings adjuster 'M. Tarn' >/dev/null

shoot() { # NAME PAGE WIDTH HEIGHT
    chromium --headless --no-sandbox --disable-gpu --hide-scrollbars --force-device-scale-factor=1 --user-data-dir="$work/profile" \
        --window-size="$3,$4" --screenshot="$work/$1.png" "file://$2" >/dev/null 2>&1
    convert "$work/$1.png" -strip -colors 96 "PNG8:$docs/$1.png"
    echo "$docs/$1.png"
}

"$program" brief "$demo/elm-lane-418" --html --out "$work/brief.html" >/dev/null
cp -R "$demo" "$work/demo"
"$program" note "$work/demo/today/2026-05-14-property-2" 'The second house of the day.' >/dev/null
"$program" desk "$work/demo" --html "$work/desk.html" >/dev/null || test $? -eq 1
shoot report "$demo/elm-lane-418/reports/photo-report.html" 1000 1300
shoot brief "$work/brief.html" 900 1165
shoot scope "$demo/elm-lane-418/reports/scope-sheet.html" 900 1000
shoot desk "$work/desk.html" 1000 360

# The sorting table early in the work: suggestions everywhere, one photo drawn on.
"$program" visits "$demo/card" --into "$work/day" >/dev/null
claim=$work/day/2026-05-14-property-1
quietly() { "$program" "$@" >/dev/null; }
quietly edit "$claim" --insured 'Ada Quill' --address '418 Elm Lane (invented)' --cause 'hail and wind' --loss-date 2026-05-12 --front-azimuth 205
quietly structure "$claim" garage --elevations all --slopes left,right
quietly structure "$claim" fence
quietly tag "$claim" 8 --place site --subject address --caption 'House number 418 at the drive'
quietly tag "$claim" 2,3 --place fence
quietly tag "$claim" 4,7 --place 'garage front'
quietly tag "$claim" 36,37,52 --place 'left slope'
quietly tag "$claim" 38 --place 'front slope'
quietly tag "$claim" 45-47 --place 'right slope'
quietly tag "$claim" 48 --place 'rear slope'
quietly tag "$claim" 39 --place 'front slope' --subject 'test square' --value 9
quietly mark "$claim" 39 scale '0.006,0.778 0.933,0.778' --length '10 ft'
quietly mark "$claim" 39 arrow '0.570,0.517 0.497,0.453'
quietly mark "$claim" 39 ellipse '0.326,0.556 0.411,0.648'
quietly mark "$claim" 39 line '0.338,0.592 0.396,0.592'
node "$(dirname "$0")/pictures.mjs" "$program" "$claim" "$work"
for name in sorting-table sorting-table-marks sorting-table-phone; do
    convert "$work/$name.png" -strip -quality 60 -define webp:method=6 "$docs/$name.webp"
    echo "$docs/$name.webp"
done
