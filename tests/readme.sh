#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Runs every "$ command" of the console blocks in README.md and DEVELOPERS.md
# and compares what it prints with what stands there.
#
#   readme.sh --bless      writes what is printed into the files instead
#
# build/bodkin in a command is the program under test, 80 cells wide.

. tests/lib.sh

# again FILE: the file with all outputs made anew, on standard output
again() {
	inside=no
	while IFS= read -r line || [ -n "$line" ]; do
		case $line in
		'```console') inside=yes; printf '%s\n' "$line" ;;
		'```') inside=no; printf '%s\n' "$line" ;;
		'$ '*)
			printf '%s\n' "$line"
			if [ "$inside" = yes ]; then
				shell=$(printf '%s\n' "${line#\$ }" | sed "s|build/bodkin|$B/bodkin --width 80 --colour never|g")
				sh -c "$shell" </dev/null 2>&1
			fi ;;
		*) [ "$inside" = yes ] || printf '%s\n' "$line" ;;
		esac
	done <"$1"
}

for f in README.md DEVELOPERS.md; do
	[ -f "$f" ] || { fail "$f is there"; continue; }
	again "$f" >"$tmp/again"
	if [ "${1:-}" = --bless ]; then
		diff "$f" "$tmp/again"
		cp "$tmp/again" "$f"
		continue
	fi
	n=$(sed -n '/^```console$/,/^```$/p' "$f" | grep -c '^\$ ')
	if cmp -s "$f" "$tmp/again"; then
		while [ "$n" -gt 0 ]; do pass "$f example $n"; n=$((n - 1)); done
	else
		fail "$f: $n examples, not all as shown" "$(diff "$f" "$tmp/again" | cut -c1-160 | head -n 40)"
	fi
done
# The examples that help gives are calls that work.
export BODKIN_OWN="$tmp/own"
[ "${1:-}" = --bless ] || for c in $("$B/bodkin" help | sed -n '/^Commands$/,/^$/p' | awk 'NR > 1 { print $1 }'); do
	case $c in [a-z]*) ;; *) continue ;; esac
	run bodkin help "$c"
	expect "help $c" 0
	sed -n '/^Examples$/,/^$/s/^  bodkin //p' "$tmp/out" >"$tmp/examples"
	while IFS= read -r call; do
		status=0
		call=$(echo "$call" | sed "s,-o \([^ /]*\),-o $tmp/\1,")       # not into the source tree
		eval "bodkin $call" >"$tmp/out" 2>"$tmp/err" </dev/null || status=$?
		if [ "$status" -le 1 ] && [ -s "$tmp/out" ]; then pass "bodkin $call"; else
			fail "bodkin $call" "status $status" "$(head -n 3 "$tmp/err")"; fi
	done <"$tmp/examples"
done
# Links within the repository lead somewhere.
for f in README.md DEVELOPERS.md docs/*.md; do
	grep -oE '\]\([^)#]+' "$f" | sed 's/^](//' | grep -v '^http' | while IFS= read -r l; do
		if [ -e "$(dirname "$f")/$l" ]; then pass "$f links to $l"; else fail "$f links to $l"; fi
	done
done
