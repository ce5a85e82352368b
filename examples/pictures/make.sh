#!/usr/bin/env bash
# The README's pictures, made anew: examples/pictures/make.sh [PANFOLD]
#
# PANFOLD is the built program; left out, it is built (release). Needs Chromium (CHROMIUM=… says where), and `script`, `sed`, `awk`
# and `sha256sum`, which Linux has. Writes the pictures beside this file, and into made-from.txt what they were made from: a test
# (tests/house/pictures.rs) compares it with what the program writes, and asks for this script when that has changed.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
root=$here/../..
if [ $# -gt 0 ]; then
    panfold=$(realpath "$1")
else
    cargo build --release --manifest-path "$root/Cargo.toml"
    panfold=$(realpath "${CARGO_TARGET_DIR:-$root/target}/release/panfold")
fi
chromium=${CHROMIUM:-$(command -v chromium || command -v chromium-browser || echo chromium)}
for needed in "$chromium" script sed awk sha256sum; do
    command -v "$needed" >/dev/null || { echo "this needs \`$needed\`, which is not here"; exit 1; }
done

work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cp -r "$root/arrangements" "$work/"
cd "$work"
list=$work/made-from.txt

# The commands that the pictures show. The test runs them too.
sheet='sheet arrangements/sea-grape-road.tune --part lead -o sheet.svg'
pan='pans new -o dock-lead.toml'
answers=arrangements/pans/dock-lead.txt
cover='cover dock-lead.toml arrangements/sea-grape-road.tune arrangements/jetty-jam.tune arrangements/slow-water.tune --part lead --picture cover.svg'
check='check arrangements/jetty-jam.tune'
page='page arrangements/sea-grape-road.tune --part lead -o page.html'

# How many problems of the report are shown: its first.
problems=3

# sum KIND WHAT: a line of the list, of what comes in.
sum() { printf '%s  %s\n' "$(sha256sum | cut -d' ' -f1)" "$1" >>"$list"; }

# shoot FILE WIDTH HEIGHT PICTURE [BUDGET]: a page of that size as WebP; BUDGET is how long it may run, in milliseconds.
shoot() {
    timeout 120 "$chromium" --headless=new --no-sandbox --disable-gpu --hide-scrollbars --user-data-dir="$work/browser" \
        --autoplay-policy=no-user-gesture-required --force-color-profile=srgb --virtual-time-budget="${5:-2000}" \
        --window-size="$2,$3" --screenshot="$here/$4" "file://$work/$1" 2>"$work/browser.log" ||
        { cat "$work/browser.log"; exit 1; }
}

# drawn SVG WIDTH HEIGHT PICTURE: a drawing of the program, as wide as that; what lies beneath HEIGHT is cut off.
drawn() {
    printf '<!doctype html><body style="margin:0;background:#fff"><img src="%s" width="%s" style="display:block">' "$1" "$2" \
        >"$1.html"
    shoot "$1.html" "$2" "$3" "$4"
}

# The sheet.
"$panfold" $sheet >/dev/null
drawn sheet-1.svg 720 790 sheet.webp
sum "writes sheet-1.svg: panfold $sheet" <sheet-1.svg

# What a pan is good for.
"$panfold" $pan <"$answers" >/dev/null 2>&1
sum "writes dock-lead.toml: panfold $pan < $answers" <dock-lead.toml
"$panfold" $cover >/dev/null
drawn cover.svg 480 620 cover.webp
sum "writes cover.svg: panfold $cover" <cover.svg

# The report, with a terminal's colours: each colour becomes a class of HTML.
"$panfold" $check >check.txt || [ $? = 1 ]
sum "prints: panfold $check" <check.txt
script -qec "stty rows 40 cols 100; $panfold $check" /dev/null </dev/null >check.ansi || [ $? = 1 ]
tr -d '\r' <check.ansi | awk -v RS= -v ORS='\n\n' -v most=$problems 'NR <= most' >shown.ansi
{
    cat <<'HTML'
<!doctype html><meta charset="utf-8"><style>
body { margin: 0; background: #16191d; color: #d7dce2; }
pre { margin: 16px; font: 14px/19px "DejaVu Sans Mono", ui-monospace, monospace; }
i { font-style: normal; } .s1 { font-weight: bold; } .s2 { opacity: 0.7; } .s4 { text-decoration: underline; }
.s31, .s91 { color: #ff8a80; } .s32, .s92 { color: #8fd694; } .s33, .s93 { color: #f2c14e; }
.s34, .s94 { color: #8ab8ff; } .s35, .s95 { color: #d7a6ff; } .s36, .s96 { color: #7fd8e0; }
</style><pre>
HTML
    printf '$ panfold %s\n' "$check"
    sed -E \
        -e 's/&/\&amp;/g; s/</\&lt;/g; s/>/\&gt;/g' \
        -e ':split; s/\x1b\[([0-9]+);([0-9;]+)m/\x1b[\1m\x1b[\2m/g; t split' \
        -e 's/\x1b\[0?m/<\/i><\/i><\/i><\/i>/g; s/\x1b\[([0-9]+)m/<i class="s\1">/g; s/\x1b\[[0-9;?]*[A-Za-z]//g' shown.ansi
} >check.html
longest=$(sed -E 's/\x1b\[[0-9;?]*[A-Za-z]//g' shown.ansi | awk 'length > most { most = length } END { print most }')
shoot check.html $((longest * 17 / 2 + 32)) $((19 * ($(wc -l <shown.ansi) + 1) + 16)) check.webp

# The page while it plays. The browser's clock runs ahead of the sound's, so the sound's is taken from it here, and the strokes
# themselves stay silent; what the page shows is its own.
"$panfold" $page >/dev/null
sed -E 's#<meta http-equiv="Content-Security-Policy"[^>]*>#<script>const now = () => performance.now() / 1000;\
Object.defineProperty(BaseAudioContext.prototype, "currentTime", { get: now });\
AudioContext.prototype.resume = async () => {};\
BaseAudioContext.prototype.decodeAudioData = async function () { return this.createBuffer(1, 22050 * 300, 22050); };\
addEventListener("load", () => setTimeout(() => document.getElementById("play").click(), 100));</script>#' page.html >playing.html
! cmp -s page.html playing.html || { echo 'the page has no line with its policy any more'; exit 1; }
shoot playing.html 480 820 page.webp 7000
sed '/id="data"/,$d' page.html | sum "shows page.html: panfold $page"
sum 'file: src/page/view.js' <"$root/src/page/view.js"

for file in lantern-quay.toml pans/old-guitar.toml jetty-jam.tune sea-grape-road.tune slow-water.tune; do
    sum "file: arrangements/$file" <"$root/arrangements/$file"
done
for picture in page sheet check cover; do sum "file: examples/pictures/$picture.webp" <"$here/$picture.webp"; done
{ echo '# What the pictures were made from, by make.sh; SHA-256.'; cat "$list"; } >"$here/made-from.txt"
ls -l "$here"/*.webp
