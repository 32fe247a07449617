#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Golden cases: an input beside what must come of it.
#
#   golden.sh [--bless] [NAME ...]      NAME: an area, or a case without its ending
#
# Inputs, in tests/cases/AREA/:
#   NAME.yaml   a project: bodkin check NAME.yaml
#   NAME.cmd    shell lines that call bodkin; the first line says what it shows
#   NAME.talk   typed at the prompt through a pipe; the first line says what it shows
# Outputs, compared where they exist:
#   .out_term   standard output, 80 cells wide
#   .out_json   the same with --json, laid out, versions left out
#   .out_diag   standard error and the exit status
#   .out_STAGE  of a project: what -d STAGE prints
# The area "small" runs on the small knowledge base of the unit tests.

. tests/lib.sh
bless=no
[ "${1:-}" = --bless ] && { bless=yes; shift; }
small_kb || exit 1

steady() { jq . | sed -E 's/"(tool_version|kb_version)": "[^"]*"/"\1": "-"/'; }

# produce ENDING: what the case gives for it, on standard output
produce() {
	case $input in
	*.yaml) set -- "$1" check "$base.yaml" ;;
	esac
	case $1 in
	out_term) execute "$@" 2>/dev/null ;;
	out_json) EXTRA=--json execute "$@" 2>/dev/null | steady ;;
	out_diag) { execute "$@" >/dev/null; echo "status $?" >&2; } 2>&1 ;;
	out_*) EXTRA="-d ${1#out_}" execute "$@" 2>/dev/null ;;
	esac
}
execute() {
	shift
	case $input in
	*.yaml) bodkin "$@" </dev/null ;;
	*.cmd) lines=$(sed 1d "$base.cmd"); eval "$lines" </dev/null ;;
	*.talk) sed 1d "$base.talk" | bodkin ;;
	esac
}

agreed() {
	[ "$bless" = yes ] || return 1
	[ "${BLESS:-}" = yes ] && return 0
	printf 'Take this as right? [y/n] ' >/dev/tty
	read -r answer </dev/tty && [ "$answer" = y ]
}

one() {
	ending=$1
	produce "$ending" >"$tmp/got"
	if [ -f "$base.$ending" ] && cmp -s "$base.$ending" "$tmp/got"; then
		pass "$area/$base.$ending"
		return
	fi
	[ -f "$base.$ending" ] || : >"$tmp/empty"
	old=$base.$ending
	[ -f "$old" ] || old=$tmp/empty
	diff -u "$old" "$tmp/got" >"$tmp/diff"
	[ "$bless" = yes ] && cat "$tmp/diff"
	if agreed; then
		cp "$tmp/got" "$base.$ending"
		pass "$area/$base.$ending"
	else
		fail "$area/$base.$ending" "$(head -n 40 "$tmp/diff")"
	fi
}

wanted() {
	[ $# -eq 1 ] && return 0
	it=$1; shift
	for w; do
		w=${w#tests/cases/}
		[ "$w" = "$area" ] || [ "$w" = "$it" ] && return 0
	done
	return 1
}

for input in tests/cases/*/*.yaml tests/cases/*/*.cmd tests/cases/*/*.talk tests/regress/*.yaml; do
	[ -f "$input" ] || continue
	folder=$(dirname "$input")
	area=$(basename "$folder")
	base=$(basename "$input"); base=${base%.*}
	wanted "$area/$base" "$@" || continue
	cd "$top/$folder" || exit 1
	KB=
	[ "$area" = small ] && KB=$small
	any=no
	for out in "$base".out_*; do
		[ -f "$out" ] || continue
		any=yes
		one "${out#"$base".}"
	done
	if [ "$any" = no ] && [ "$bless" = yes ]; then
		one out_term
		one out_diag
		case $input in *.yaml) one out_json ;; esac
	elif [ "$any" = no ]; then
		fail "$area/$base" "it has no outputs yet: make bless"
	fi
	cd "$top" || exit 1
done
