#!/usr/bin/env bash
# Plays one round of Spot the fault in the window, on a screen in memory, and takes its picture for the README. Needs Xvfb,
# xdotool and ImageMagick.
#
#   docs/practise.sh [FILE.png]       else docs/practise.png
#
# SUNSIDE=PROGRAM runs another program than target/release/sunside.
set -euo pipefail
cd "$(dirname "$0")/.."

program=$(realpath -m "${SUNSIDE:-target/release/sunside}")
picture=$(realpath -m "${1:-docs/practise.png}")
source docs/screen.sh

mkdir "$work/data"
cat >"$work/settings/window.toml" <<TOML
[window]
size = [1280, 720]

[look]
theme = "light"
TOML
export SUNSIDE_DATA_DIR=$work/data
open_screen 1280x720

"$program" practise --drill spot --seed 4 scenes/open_siding.toml &
player=$!
children+=($player)
window=
until [ -n "$window" ]; do
    sleep 0.2
    window=$(xdotool search --pid $player 2>/dev/null | tail -1) || true
done
xdotool windowfocus "$window"
xdotool windowmove "$window" 0 0
xdotool windowsize "$window" 1280 720

# Until the program has rested for two seconds.
settle() {
    local rest=0 last=-1 used
    while [ $rest -lt 4 ]; do
        sleep 0.5
        used=$(awk '{print $14 + $15}' /proc/$player/stat)
        if [ $((used - last)) -le 2 ]; then rest=$((rest + 1)); else rest=0; fi
        last=$used
    done
}

settle
for key in ${KEYS:-9 Return 1 0}; do
    xdotool key "$key"
    sleep 0.4
done
settle
import -window "$window" "$work/page.png"
convert "$work/page.png" -dither FloydSteinberg -colors 200 -define png:compression-level=9 "PNG8:$picture"
ls -l "$picture"
