#!/usr/bin/env bash
# How much faster than FluidSynth three minutes of twelve parts are rendered, told and not judged.
#
# usage: fluidsynth_speed.sh TWELVE_PARTS FOLDER, the first being the built example `twelve_parts`. Both make the same
# strokes into a 44.1 kHz stereo WAV file on one core; FluidSynth plays panfold's MIDI file with Debian's TimGM6mb sound
# font, reverb and chorus off.
set -euo pipefail
twelve_parts=$1 folder=$2
font=/usr/share/sounds/sf2/TimGM6mb.sf2
mkdir -p "$folder"
seconds() {
    local start=$EPOCHREALTIME
    "$@" >/dev/null 2>&1
    awk -v a="$start" -v b="$EPOCHREALTIME" 'BEGIN {printf "%.2f", b - a}'
}
export RAYON_NUM_THREADS=1
"$twelve_parts" "$folder/speed.mid"
best=1000
for _ in 1 2 3; do
    ours=$(seconds "$twelve_parts" "$folder/speed.wav")
    best=$(awk -v a="$ours" -v b="$best" 'BEGIN {print a < b ? a : b}')
done
theirs=$(seconds fluidsynth -ni -R 0 -C 0 -r 44100 -F "$folder/fluid.wav" "$font" "$folder/speed.mid")
awk -v a="$theirs" -v b="$best" 'BEGIN {printf "panfold %.2f s, FluidSynth %.2f s: %.0f times as fast\n", b, a, a / b}'
