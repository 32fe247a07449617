#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# The conversation: through a pipe, and on a terminal that tmux plays.

. tests/lib.sh

# talk NAME TEXT: lines on standard input, one piece of text expected
talk() {
	name=$1; want=$2
	cat >"$tmp/lines"
	status=0
	bodkin <"$tmp/lines" >"$tmp/out" 2>"$tmp/err" || status=$?
	expect "$name: status" 0
	says "$name" "$want"
}

# ---- through a pipe --------------------------------------------------------------
printf 'quit\n' >"$tmp/lines"
bodkin <"$tmp/lines" >"$tmp/out" 2>&1
if [ -s "$tmp/out" ]; then fail "no banner in a pipe" "$(cat "$tmp/out")"; else pass "no banner in a pipe"; fi
talk "describe" "jacket" <<'END'
unlined jacket in cotton poplin
END
talk "what is not said is asked for" "What cloth is it?" <<'END'
lined jacket
END
talk "what it is to be is asked for" "What is it to be?" <<'END'
cotton poplin
END
talk "change" "needle size" <<'END'
unlined jacket in cotton poplin
80/12 needle
show
END
talk "ask" "needle size: start with" <<'END'
jacket in cotton poplin
what needle
END
for paper in "sizes=Sizes: skirt" "amounts=What to buy" "estimate=bear" "order=The order of work" \
    "order --instructions=How to make the skirt" "handout=waistband"; do
	talk "${paper%%=*} of what is talked about" "${paper#*=}" <<END
linen skirt with a waistband
${paper%%=*}
END
done
talk "a paper asked for of nothing" "takes one project file" <<'END'
sizes
END
talk "what if keeps nothing" "cotton poplin" <<'END'
unlined jacket in cotton poplin
what if it is denim
show
END
talk "undo" "Taken back: 80/12 needle" <<'END'
jacket in cotton poplin
80/12 needle
undo
END
talk "undo to nothing and beyond" "There is nothing to take back." <<'END'
undo
END
talk "redo" "Done again: 80/12 needle" <<'END'
jacket in cotton poplin
80/12 needle
undo
redo
END
talk "a question changes nothing" "Taken back: jacket in cotton poplin" <<'END'
jacket in cotton poplin
what needle
undo
END
talk "unknown words end nothing" "Taken back: jacket in cotton poplin" <<'END'
jacket in cotton poplin
frobnicate the zorp
undo
END
talk "a block in YAML" "weight" <<'END'
check
garment: coat
materials:
  - shell: wool flannel
    weight: 300 g/m2
.
show
END
talk "check reads a file" "Lock-keeper" <<'END'
check tests/cases/check/lock-keepers-coat.yaml
show
END
talk "lines joined by a backslash" "lined" <<'END'
unlined jacket \
in cotton poplin
END
talk "show an entry" "A kind of" <<'END'
show poplin
END
talk "convert, inch mark and all" "15.875" <<'END'
convert 5/8" mm
END
talk "why of nothing yet" "There is no project yet" <<'END'
why
END
talk "help" "take the last change back" <<'END'
help
END
talk "help on a command" "Options" <<'END'
help convert
END
talk "a broken call does not end it" "There is nothing to take back." <<'END'
convert
list nothings
open /no/such/file
undo
END
talk "save" "Saved as" <<END
jacket in cotton poplin
save $tmp/saved.yaml
END
talk "save does not overwrite" "is there already" <<END
coat in denim
save $tmp/saved.yaml
END
check "what was saved was kept" grep -q jacket "$tmp/saved.yaml"
talk "save over" "Saved as" <<END
coat in denim
save $tmp/saved.yaml over
END
check "what was saved over is new" grep -q coat "$tmp/saved.yaml"
talk "open what was saved" "coat" <<END
open $tmp/saved.yaml
END
talk "saving nothing" "There is no project yet" <<END
save $tmp/nothing.yaml
END
if [ -e "$tmp/nothing.yaml" ]; then fail "nothing is not written"; else pass "nothing is not written"; fi
talk "save where none can" "It was not saved" <<'END'
coat in denim
save /proc/none/here.yaml
END
printf 'coat in \033[31mdenim\nshow \033]0;x\007\nwhat if \302\233\n' >"$tmp/lines"
status=0
bodkin <"$tmp/lines" >"$tmp/out" 2>"$tmp/err" || status=$?
expect "escapes typed are not sent back" 0
printf 'coat in denim' >"$tmp/lines"
bodkin <"$tmp/lines" >"$tmp/out" 2>"$tmp/err"
says "a last line without its end counts" "denim"

# ---- on a terminal -----------------------------------------------------------------
if ! command -v tmux >/dev/null; then
	fail "tmux is there to play a terminal"
	exit 1
fi
socket=
tm() { tmux -S "$socket" -f /dev/null "$@"; }
# screen PATTERN: waits until the screen shows it
screen() {
	for _ in 1 2 3 4 5 6 7 8 9 10 11 12 13 14 15 16 17 18 19 20 21 22 23 24 25 26 27 28 29 30; do
		tm capture-pane -p -J -S -200 >"$tmp/screen" 2>/dev/null
		grep -qF -- "$1" "$tmp/screen" && return 0
		sleep 0.1
	done
	return 1
}
shows() { if screen "$2"; then pass "terminal: $1"; else
	fail "terminal: $1" "expected to see: $2" "$(grep -v '^$' "$tmp/screen" | tail -n 12)"; fi; }
keys() { tm send-keys "$@"; }
session() {
	[ -n "$socket" ] && tm kill-server 2>/dev/null
	socket=$tmp/tmux.$((n = ${n:-0} + 1))
	tm new-session -d -x 90 -y 50 "env HOME=$tmp/home XDG_STATE_HOME=$tmp/state TERM=${1:-screen} BODKIN_HISTORY=$2 INPUTRC=/dev/null $B/bodkin --colour never; echo left with \$?; sleep 30"
}
mkdir -p "$tmp/home"

session screen "$tmp/state/bodkin/history"
shows "welcome" "Describe what you want to sew"
keys "jacket in cotton poplin" Enter
shows "describe" "What I understood"
keys "show crepe de ch" Tab
shows "a name of several words is completed" "show crepe de chine"
keys C-c
sleep 0.3
keys "what needle" Enter
shows "Ctrl-C drops the line only" "needle size: start with"
keys "sett" Tab Enter
shows "a command is completed" "stitch length"
keys "open tests/cases/check/lock-k" Tab
shows "a file is completed" "lock-keepers-coat."
keys C-c
sleep 0.3
keys "quit" Enter
shows "leaving without saving is told" "This project is not saved"
keys "quit" Enter
shows "quit again leaves" "left with 0"
check "history is kept" grep -q "jacket in cotton poplin" "$tmp/state/bodkin/history"
mode=$(stat -c %a "$tmp/state/bodkin/history" "$tmp/state/bodkin" 2>/dev/null | tr '\n' ' ')
if [ "$mode" = "600 700 " ]; then pass "history is private"; else fail "history is private" "$mode"; fi

session screen ""
shows "welcome again" "Describe what you want to sew"
keys "check" Enter
shows "a block has its own sign" "...>"
keys "coat in denim" Enter "." Enter
shows "the block is read" "denim"
sleep 0.5                                  # until it listens again
keys C-d
shows "Ctrl-D leaves" "left with 0"

session dumb ""
shows "a dumb terminal" "Describe what you want to sew"
keys "undo" Enter
shows "a dumb terminal answers" "There is nothing to take back."
tm kill-server 2>/dev/null
