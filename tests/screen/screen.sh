#!/bin/sh
# Drives the review screen in a terminal of its own: what it shows, its keys, and
# that every way out gives the terminal back. tests/screen/screen.sh PROGRAM, from
# the project's root. Prints a line a check; ends with 1 if one failed.
set -u
program=${1:?usage: tests/screen/screen.sh PROGRAM}
if ! command -v tmux >/dev/null; then
    echo "skipped: tmux is not installed"
    exit 0
fi
case $program in
/*) ;;
*) program=$(pwd)/$program ;;
esac
unset NO_COLOR TMUX
terminals=0
folder=$(mktemp -d)
failed=0
review="$program styles/skerry.yaml --factory harbour --alternative turned --rules rules"

# Each terminal has a server of its own: one that is ending takes no new session.
mux() {
    tmux -u -L "cordwain-$$-$terminals" -f /dev/null "$@" 2>/dev/null
}

end() {
    mux kill-server
    rm -rf "$folder" "$folder.styles"
}
trap end EXIT
trap 'exit 1' HUP INT TERM

# ---- The terminal ----

# open COLUMNS ROWS: a new terminal with a plain shell in it.
open() {
    mux kill-server
    terminals=$((terminals + 1))
    size=$1x$2
    LC_ALL=C.UTF-8 mux new-session -d -x "$1" -y "$2" -c "$(pwd)" "env PS1='ready> ' ENV= sh"
    if ! await "the shell starts" 'ready>'; then
        exit 1
    fi
}

screen() {
    mux capture-pane -p
}

ask() {
    mux display-message -p "$1"
}

keys() {
    mux send-keys "$@"
}

type_line() {
    mux send-keys -l "$1"
    mux send-keys Enter
}

# ---- Checks ----

ok() {
    echo "ok   $size: $1"
}

bad() {
    echo "FAIL $size: $1"
    screen | sed 's/^/     | /'
    failed=1
}

# holds WHAT COMMAND...: within five seconds the command succeeds.
holds() {
    what=$1
    shift
    tries=0
    until "$@"; do
        tries=$((tries + 1))
        if [ $tries -ge 100 ]; then
            bad "$what"
            return 1
        fi
        sleep 0.05
    done
    return 0
}

shows() {
    screen | grep -q -e "$1"
}

hides() {
    ! shows "$1"
}

await() {
    holds "$1" shows "$2"
}

check() {
    await "$1" "$2" && ok "$1"
}

cursor_at() {
    [ "$(ask '#{cursor_y}')" = "$1" ]
}

cursor_off() {
    [ "$(ask '#{cursor_y}')" != "$1" ]
}

file_there() {
    [ -s "$1" ]
}

# ---- Starting and leaving ----

start() {
    rm -f "$folder"/*
    run="sh -c 'echo \$\$ >$folder/pid; exec $* $review'"
    type_line "stty -g >$folder/before; clear; $run; stty -g >$folder/after; echo gone"
}

# sane WHAT: the program has ended and the terminal is as it was.
sane() {
    holds "$1: the program ends" file_there "$folder/after" || return
    await "$1: the shell goes on" '^gone' || return
    if ! cmp -s "$folder/before" "$folder/after"; then
        bad "$1: the terminal's settings differ"
    elif [ "$(ask '#{alternate_on} #{cursor_flag}')" != "0 1" ]; then
        bad "$1: alternate screen still on, or cursor off"
    else
        ok "$1, the terminal is as it was"
    fi
}

leave_by() {
    open 80 24
    start
    await "before $1" 'q leave'
    kill -s "$1" "$(cat "$folder/pid")"
    sane "ended by $1"
}

# ---- What is tried ----

# The tour over the demo goes away for good.
skip_tour() {
    await "the tour is offered" 'Esc skips'
    keys Escape
    holds "Esc skips the tour" hides 'Esc skips'
}

walk_through() {
    open "$1" "$2"
    start
    skip_tour && ok "Esc skips the tour"
    check "the first screen shows a flag by word and sign" '! *flag'
    check "the keys are named" 'q leave'
    check "the stop in making order is named" 'upper: cap'
    row=$(ask '#{cursor_y}')
    keys Down
    holds "the arrow moves down" cursor_off "$row" && ok "the arrow moves down"
    keys Up
    holds "the arrow moves up" cursor_at "$row" && ok "the arrow moves up"
    keys Right
    holds "the arrow goes to the next stop" hides 'vamp.cap-line.1' && ok "the next stop"
    keys Left
    check "and back" 'vamp.cap-line.1'
    keys '?'
    holds "? opens the help" hides 'vamp.cap-line.1' && ok "? opens the help"
    keys Escape
    check "Esc leaves the help" 'vamp.cap-line.1'
    keys q
    sane "left with q"
}

resize_while_open() {
    open 80 24
    start
    skip_tour
    await "before resizing" 'q leave'
    mux resize-window -x 50 -y 12
    check "made too small it says so" 'too small'
    mux resize-window -x 120 -y 40
    check "made larger it goes on" 'q leave'
    keys q
    sane "left after resizing"
}

too_small() {
    open 50 12
    start
    holds "too small: it ends by itself" file_there "$folder/after"
    check "too small: the findings are printed" 'gone'
    mux capture-pane -p -S - >"$folder/all"
    if grep -q -e 'in all' -e 'too small' "$folder/all"; then
        ok "too small: the tally is there"
    else
        bad "too small: no tally"
    fi
    sane "too small"
}

plain_terminal() {
    open 80 24
    start env TERM=vt100 LC_ALL=C
    check "vt100, C locale: a flag by word and sign" '! *flag'
    if screen | grep -q -e '±' -e '°' -e '…'; then
        bad "vt100, C locale: a character the locale has not"
    else
        ok "vt100, C locale: letters the locale has"
    fi
    skip_tour
    keys q
    sane "vt100, C locale: left with q"
}

no_colour() {
    open 80 24
    start env NO_COLOR=1
    await "NO_COLOR: the screen" 'q leave'
    if mux capture-pane -p -e | grep -q "$(printf '\033')\\[[0-9;]*3[0-7]"; then
        bad "NO_COLOR: colours are there"
    else
        ok "NO_COLOR: no colours"
    fi
    skip_tour
    keys q
    sane "NO_COLOR: left with q"
}

# kind TERM: with fewer or no colours, and fonts that lack much.
kind() {
    open 80 24
    start env TERM="$1"
    check "$1: a flag by word and sign" '! *flag'
    skip_tour
    keys Down
    check "$1: the arrow is understood" '^> . '
    if mux capture-pane -p -e | grep -q "$(printf '\033')\\[[0-9;]*4[0-8][;m]"; then
        bad "$1: a ground of its own, which a light terminal cannot take"
    else
        ok "$1: no ground but the terminal's"
    fi
    keys q
    sane "$1: left with q"
}

# What cannot place its cursor gets the findings as text.
dumb_terminal() {
    open 80 24
    start env TERM=dumb
    holds "dumb: it ends by itself" file_there "$folder/after"
    check "dumb: the findings are printed" 'gone'
    mux capture-pane -p -S - >"$folder/all"
    if grep -q -e ' flag' "$folder/all"; then
        ok "dumb: a flag is there"
    else
        bad "dumb: no flag"
    fi
    sane "dumb"
}

suspend() {
    open 80 24
    start
    skip_tour
    keys Enter
    await "before suspending" 'Enter new value'
    keys C-z
    check "suspended: the shell is back" 'ready>'
    if [ "$(ask '#{alternate_on} #{cursor_flag}')" = "0 1" ]; then
        ok "suspended: the terminal is given back"
    else
        bad "suspended: alternate screen still on, or cursor off"
    fi
    mux resize-window -x 120 -y 40
    type_line "fg >/dev/null"
    check "brought back: where it was, in the new size" 'Enter new value'
    keys Q
    holds "left after suspending" shows 'ready>'
    if [ "$(ask '#{alternate_on} #{cursor_flag}')" = "0 1" ]; then
        ok "left after suspending"
    else
        bad "left after suspending: alternate screen still on, or cursor off"
    fi
}

# The editor comes back with a change: it is judged, and said by name.
edit_outside() {
    open 80 24
    cp -r styles "$folder.styles"
    printf '#!/bin/sh\nsed -i "s/left: 3 mm/left: 2.5 mm/" "$2"\n' >"$folder.styles/edit"
    chmod +x "$folder.styles/edit"
    review_before=$review
    review="$program $folder.styles/skerry.yaml --factory harbour --alternative turned --rules rules"
    start env VISUAL="$folder.styles/edit" EDITOR=false
    review=$review_before
    skip_tour
    keys e
    check "after the editor: it is read again" 'the file was read again'
    check "after the editor: what it touches" '^ touches '
    check "after the editor: by name" '^ *\(worse\|better\|cleared\): '
    keys q
    sane "left after the editor"
    rm -rf "$folder.styles"
}

walk_through 80 24
walk_through 120 40
walk_through 200 60
resize_while_open
too_small
leave_by HUP
leave_by TERM
leave_by INT
leave_by QUIT
leave_by ABRT
plain_terminal
no_colour
for terminal in linux xterm xterm-256color vt100; do
    kind $terminal
done
dumb_terminal
suspend
edit_outside
exit $failed
