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
work=$(mktemp -d)
children=()

tidy() {
    for child in "${children[@]}"; do kill "$child" 2>/dev/null || true; done
    rm -rf "$work"
}
trap tidy EXIT

need() {
    command -v "$1" >/dev/null || { echo "practise.sh: $1 is lacking (Debian: apt install $2)" >&2; exit 2; }
}
need Xvfb xvfb
need xdotool xdotool
need import imagemagick
[ -x "$program" ] || { echo "practise.sh: no $program: cargo build --release" >&2; exit 2; }

mkdir "$work/settings" "$work/data" "$work/run"
chmod 700 "$work/run"
cat >"$work/settings/window.toml" <<TOML
[window]
size = [1280, 720]

[look]
theme = "light"
TOML
export SUNSIDE_CONFIG_DIR=$work/settings SUNSIDE_DATA_DIR=$work/data XDG_RUNTIME_DIR=$work/run WINIT_X11_SCALE_FACTOR=1
unset WAYLAND_DISPLAY WAYLAND_SOCKET

# The server chooses a free number and tells it.
mkfifo "$work/number"
Xvfb -displayfd 3 -screen 0 1280x720x24 -nolisten tcp -dpi 96 3>"$work/number" 2>/dev/null &
children+=($!)
read -r number <"$work/number"
export DISPLAY=:$number

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
