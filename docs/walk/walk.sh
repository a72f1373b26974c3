#!/usr/bin/env bash
# Walks through docs/walk/README.md in the window itself, with mouse and keys, on a screen in memory: takes its
# pictures and prints the verdict of every step, as exported. Needs Xvfb, xdotool, ImageMagick and a Vulkan driver.
# Where things lie is known for the window's usual size. tests/rehearsal_walk.rs holds the same verdicts.
#
#   docs/walk/walk.sh [FOLDER]        pictures into FOLDER, else beside this script
#
# SUNSIDE=PROGRAM runs another program than target/release/sunside.
set -euo pipefail
cd "$(dirname "$0")/../.."

program=$(realpath -m "${SUNSIDE:-target/release/sunside}")
pictures=$(realpath -m "${1:-docs/walk}")
stem=larkspur_lot
scene=$PWD/scenes/$stem.toml
source docs/screen.sh
mkdir -p "$pictures"

# Settings of its own: light paper, 1280 x 800, files into the folder of this run.
mkdir "$work/out"
cat >"$work/settings/window.toml" <<TOML
[window]
size = [1280, 800]

[scenes]
tray = "out"

[look]
theme = "light"
TOML
open_screen 1280x800

# What the newcomer does at noon, across from the middle of the machine.
cd "$work"
"$program" rehearse "$scene" --at "2027-05-22 12:10" --spot 22.5,9.7 --lens 35 \
    --height 0.8 --pitch 3 --roll -2.2 --heading 243.5 &
sunside=$!
children+=("$sunside")

until_true() { # WHAT COMMAND…: waits until the command succeeds, two minutes at most
    local what=$1 n
    shift
    for ((n = 0; n < 600; n++)); do
        "$@" && return
        kill -0 "$sunside" 2>/dev/null || { echo "walk.sh: the program has ended" >&2; exit 1; }
        sleep 0.2
    done
    echo "walk.sh: it never came about that $what" >&2
    exit 1
}

used_ticks() { # processor time used, in hundredths of a second (proc_pid_stat(5), fields 14 and 15)
    sed 's/.*) //' "/proc/$sunside/stat" | { read -r -a field; echo $((field[11] + field[12])); }
}

is_calm() {
    local before
    before=$(used_ticks)
    sleep 0.6
    (($(used_ticks) - before <= 3))
}

is_open() {
    window=$(xdotool search --name "Larkspur team track" 2>/dev/null | tail -1)
    [ -n "$window" ]
}

settle() { # until all that follows from the last act is done; twice, since the day is begun a little later
    until_true "it rests" is_calm
    until_true "it rests" is_calm
}

keys() { # KEY…
    local key
    for key in "$@"; do
        xdotool key "$key"
        sleep 0.15
    done
}

times() { # N KEY
    local n
    for ((n = 0; n < $1; n++)); do keys "$2"; done
}

drag() { # X Y TO_X TO_Y, in steps as a hand does it
    local n
    xdotool mousemove "$1" "$2"
    sleep 0.3
    xdotool mousedown 1
    for ((n = 1; n <= 8; n++)); do
        xdotool mousemove $(($1 + ($3 - $1) * n / 8)) $(($2 + ($4 - $2) * n / 8))
        sleep 0.1
    done
    sleep 0.2
    xdotool mouseup 1
    sleep 0.2
    # What lies under a resting pointer is told and lit: it rests where nothing is.
    xdotool mousemove 640 790
}

press() { # X Y
    xdotool mousemove "$1" "$2"
    sleep 0.3
    xdotool click 1
    sleep 0.2
    xdotool mousemove 640 790
}

shot() { # NAME
    settle
    import -window "$window" -depth 8 "$work/shot.png"
    # A page of few tones: with a palette it is a third of the size.
    convert "$work/shot.png" -strip +dither -colors 200 -define png:compression-level=9 "png8:$pictures/$1.png"
}

tell() { # STEP: the verdict as exported
    rm -f "$work/out/$stem"-*.json
    keys ctrl+j
    until_true "the data are written" compgen -G "$work/out/$stem-*.json" >/dev/null
    local file local_time
    file=$(compgen -G "$work/out/$stem-*.json")
    sleep 0.2
    field() { sed -n "s/^ *\"$1\": \"\{0,1\}\([^\",]*\)\"\{0,1\},\{0,1\}\$/\1/p" "$file" | head -1; }
    local_time=$(field local)
    printf '%-22s %s  %5.1f mm  %.2f m  %6.2f,%6.2f  %s %.1f\n' "$1" "${local_time#* }" "$(field lens_mm)" \
        "$(field height_m)" "$(field east_m)" "$(field north_m)" "$(field verdict)" "$(field score)"
    # The findings, worst first.
    sed -n 's/^ *"sentence": "\(.*\)",$/    \1/p' "$file"
}

until_true "the window opens" is_open
xdotool windowfocus --sync "$window"

# 1. The first try.
shot 1_first_try
tell "1 first try"

# 2. Early: the handle of the lanes is dragged from noon to half past eight, and the worst finding is shown.
drag 599 90 310 90
keys n
shot 2_stripe
tell "2 early"

# 3. An hour later, and the camera at eye height: the ground opens.
keys Escape
times 12 period
times 8 r
shot 3_patch
tell "3 later, raised"

# 4. The spot is dragged into the good patch.
drag 258 470 239 535
shot 4_spot
tell "4 toward the nose"

# 5. Level.
keys l
shot 5_level
tell "5 level"

# 6. Eight metres back, the next lens, margins balanced; the one finding that is left is pressed.
times 16 s
keys plus b
settle
press 1110 320
shot 6_mast
tell "6 longer lens"

# 7. Six metres toward the nose.
keys Escape
times 12 a
shot 7_fine
tell "7 clear of the mast"
keys ctrl+q
