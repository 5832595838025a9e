#!/bin/sh
# pictures.sh PROGRAM DEMO DOCS -- the pictures of these pages, of the real screens, from the demo's claims. Run by make docs-pictures.
# SPDX-License-Identifier: GPL-3.0-or-later
set -eu
program=$1
demo=$(cd "$2" && pwd)
docs=$(cd "$3" && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

shoot() { # NAME PAGE WIDTH HEIGHT
    chromium --headless --no-sandbox --disable-gpu --hide-scrollbars --force-device-scale-factor=1 --user-data-dir="$work/profile" \
        --window-size="$3,$4" --screenshot="$work/$1.png" "file://$2" >/dev/null 2>&1
    convert "$work/$1.png" -strip -colors 96 "PNG8:$docs/$1.png"
    echo "$docs/$1.png"
}

"$program" brief "$demo/elm-lane-418" --html --out "$work/brief.html" >/dev/null
"$program" desk "$demo" --html "$work/desk.html" >/dev/null || test $? -eq 1
shoot report "$demo/elm-lane-418/reports/photo-report.html" 900 1238
shoot brief "$work/brief.html" 900 1165
shoot scope "$demo/elm-lane-418/reports/scope-sheet.html" 900 1000
shoot desk "$work/desk.html" 1000 360
