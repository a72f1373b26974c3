# The window on a screen in memory, for the scripts that take the documents' pictures: sourced by them, with `program`
# set. Makes the folder `work` with empty `settings`, and tidies up whatever `children` are left. Needs Xvfb, xdotool and
# ImageMagick.

work=$(mktemp -d)
children=()

tidy() {
    for child in "${children[@]}"; do kill "$child" 2>/dev/null || true; done
    rm -rf "$work"
}
trap tidy EXIT

need() {
    command -v "$1" >/dev/null || { echo "${0##*/}: $1 is lacking (Debian: apt install $2)" >&2; exit 2; }
}
need Xvfb xvfb
need xdotool xdotool
need import imagemagick
[ -x "$program" ] || { echo "${0##*/}: no $program: cargo build --release" >&2; exit 2; }
mkdir "$work/settings" "$work/run"
chmod 700 "$work/run"

open_screen() { # WIDTHxHEIGHT
    export SUNSIDE_CONFIG_DIR=$work/settings XDG_RUNTIME_DIR=$work/run WINIT_X11_SCALE_FACTOR=1
    unset WAYLAND_DISPLAY WAYLAND_SOCKET
    # The server chooses a free number and tells it.
    mkfifo "$work/number"
    Xvfb -displayfd 3 -screen 0 "$1x24" -nolisten tcp -dpi 96 3>"$work/number" 2>/dev/null &
    children+=($!)
    read -r number <"$work/number"
    export DISPLAY=:$number
}
