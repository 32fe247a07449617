# SPDX-License-Identifier: GPL-3.0-or-later
#
# What the test scripts share.  Each check prints "pass NAME" or "FAIL NAME";
# run.sh counts those lines, so a script needs no totals of its own.
#
# Sourced with the repository as the working folder.

top=$(pwd)
B=${B:-build}
case $B in /*) ;; *) B=$top/$B ;; esac
tmp=$(mktemp -d)
trap 'rm -rf "$tmp"' EXIT

# Nothing of the person's own settings may reach a test.
unset BODKIN_KB BODKIN_ACCESSIBLE ACCESSIBLE NO_COLOR CLICOLOR CLICOLOR_FORCE COLUMNS 2>/dev/null
export BODKIN_HISTORY="" BODKIN_OWN=""
export LC_ALL=C.UTF-8

# shellcheck disable=SC2086
bodkin() { "$B/bodkin" --width 80 --colour never ${KB:+--kb "$KB"} "$@" ${EXTRA:-}; }

pass() { echo "pass $1"; }
fail() { echo "FAIL $1"; shift; [ $# -eq 0 ] || printf '%s\n' "$@" | sed 's/^/    /'; }
# check NAME COMMAND...: passes when the command succeeds
check() { name=$1; shift; if "$@"; then pass "$name"; else fail "$name"; fi; }

# run COMMAND...: leaves its output in $tmp/out, its complaints in $tmp/err, its status in $status
run() { status=0; "$@" >"$tmp/out" 2>"$tmp/err" </dev/null || status=$?; }
# expect NAME STATUS: and neither a sanitizer's report nor a raw control character anywhere
expect() {
	if [ "$status" -ne "$2" ]; then
		fail "$1" "status $status, expected $2" "$(head -n 5 "$tmp/err")"
	elif LC_ALL=C grep -qaE '(AddressSanitizer|runtime error:)' "$tmp/err"; then
		fail "$1" "$(head -n 20 "$tmp/err")"
	elif LC_ALL=C tr -d '\11\12\15\40-\176\200-\377' <"$tmp/out" | grep -qa . ||
	    LC_ALL=C tr -d '\11\12\15\40-\176\200-\377' <"$tmp/err" | grep -qa .; then
		fail "$1" "a control character was let through"
	else
		pass "$1"
	fi
}
# says NAME TEXT: the last run said so on standard output or error
says() {
	if grep -qF -- "$2" "$tmp/out" "$tmp/err"; then pass "$1"; else
		fail "$1" "expected to read: $2" "$(head -n 8 "$tmp/out" "$tmp/err")"
	fi
}

# A small knowledge base whose figures mean nothing, for what must not change
# whenever a fact about cloth is corrected.
small_kb() {
	small=$tmp/small.db
	mkdir -p "$tmp/small"
	cp tests/unit/kb-judge/kb/craft.yaml tests/unit/kb-judge/kb/entries.yaml tests/unit/kb-judge/kb/trouble.yaml \
	    "$tmp/small"
	for m in kb/messages*.yaml; do         # sentences only: figures are of units it does not have
		sed '/^constants:/,$d' "$m" >"$tmp/small/${m##*/}"
	done
	"$B/bodkin" compile "$tmp/small" tests/unit/kb-judge/rules -o "$small" 2>"$tmp/err" ||
	    { fail "the small knowledge base compiles" "$(cat "$tmp/err")"; return 1; }
}
