#!/usr/bin/env bash
# The practice page in browsers, and its scripts alone: run.sh PANFOLD FOLDER
#
# Writes pages of the demo and of the tunes beside this file into FOLDER, with what the program says of them as JSON to compare
# with; fetches drivers for Chromium and Firefox, a checker of types and one of accessibility there; then checks the scripts' types and runs
# the tests beside this file. SHOTS=DIR keeps pictures of the pages.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
panfold=$(realpath "$1")
mkdir -p "$2"
work=$(realpath "$2")

# write TUNE PARTS NAME: a page, and the performance that it must show and play.
write() {
    local parts=()
    for part in $2; do parts+=(--part "$part"); done
    "$panfold" page "$1" "${parts[@]}" --output "$work/pages/$3.html"
    "$panfold" render "$1" --json >"$work/pages/$3.json"
}

demo=$here/../../../arrangements
rm -rf "$work/pages"
mkdir -p "$work/pages"
for part in lead second tenor bass iron; do write "$demo/sea-grape-road.tune" $part sea-grape-road-$part; done
write "$demo/slow-water.tune" cello slow-water-cello
write "$demo/jetty-jam.tune" guitar jetty-jam-guitar
for name in steps sixteenths hostile; do write "$here/tunes/$name.tune" lead $name-lead; done
write "$here/tunes/kit.tune" "kick snare hat" kit
node "$here/long.mjs" "$here/tunes/band.toml" >"$work/long.tune"
write "$work/long.tune" lead long-lead
"$panfold" pack "$here/tunes/steps.tune" --output "$work/pages/pack"
for kind in loop ladder echo chain; do
    for bars in 1-12 5-20 29-36; do
        times=()
        [ $kind != loop ] || times=(--times 3)
        "$panfold" drill "$demo/sea-grape-road.tune" --part lead --kind $kind --bars $bars "${times[@]}" --json \
            >"$work/pages/sea-grape-road-lead.$kind.$bars.drill.json"
    done
done

cp "$here/package.json" "$here/package-lock.json" "$work/"
(cd "$work" && npm ci --no-audit --no-fund --ignore-scripts)
"$work/node_modules/.bin/tsc" --project "$here/tsconfig.json"
echo 'the types of the scripts agree'
# One file after the other: times are measured against the clock.
for tests in "$here"/*.test.mjs; do
    PAGES=$work/pages PAGE_MODULES=$work node --test "$tests"
done
