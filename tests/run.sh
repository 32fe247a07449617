#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Runs the tests and counts them; the last line is "N passed, N failed".
#
#   run.sh                 all parts
#   run.sh PART ...        some: unit cases readme commands sheets own sizes lists print install input prompt schema units pack same audit
#   run.sh AREA/CASE       one golden case, with its difference
#   run.sh --bless [CASE]  show what differs and ask before replacing
#
# To add a part: a script that prints "pass NAME" and "FAIL NAME" lines, and a
# row in part().

set -u
cd "$(dirname "$0")/.." || exit 2
B=${B:-build}
export B

if [ "${1:-}" = --bless ]; then
	shift
	exec sh tests/golden.sh --bless "$@"
fi

unit() {
	for t in "$B"/test/check_*; do
		[ -x "$t" ] || continue
		name=${t##*/}
		"$t" >"$log.unit" 2>&1
		status=$?
		# "NN%: Checks: N, Failures: N, Errors: N" is the library's own line.
		line=$(grep -aE 'Checks: [0-9]+' "$log.unit" | tail -n 1)
		checks=$(echo "$line" | sed -E 's/.*Checks: ([0-9]+).*/\1/')
		bad=$(echo "$line" | sed -E 's/.*Failures: ([0-9]+), Errors: ([0-9]+).*/\1 + \2/')
		bad=$((${bad:-0}))
		checks=${checks:-0}
		i=$bad
		while [ "$i" -lt "$checks" ]; do echo "pass $name"; i=$((i + 1)); done
		if [ "$status" -ne 0 ]; then
			i=1
			[ "$bad" -eq 0 ] && bad=1
			while [ "$i" -lt "$bad" ]; do echo "FAIL $name"; i=$((i + 1)); done
			echo "FAIL $name"
			grep -aE ':[FE]:|Error|runtime error' "$log.unit" | head -n 20 | sed 's/^/    /'
		fi
	done
}

part() {
	case $1 in
	unit) unit ;;
	cases) sh tests/golden.sh ;;
	*/*) sh tests/golden.sh "$1" ;;
	readme|commands|sheets|own|sizes|lists|print|install|input|prompt|schema|units|pack|same|audit) sh "tests/$1.sh" ;;
	*) [ -d "tests/cases/$1" ] && sh tests/golden.sh "$1" || echo "FAIL there is no part $1" ;;
	esac
}

[ $# -gt 0 ] || set -- unit cases readme commands sheets own sizes lists print install input prompt schema units pack same audit
log=$(mktemp)
trap 'rm -f "$log" "$log.part" "$log.unit"' EXIT
: >"$log"
for p; do
	part "$p" >"$log.part" 2>&1
	grep -av '^pass ' "$log.part"
	printf '%-8s %d passed, %d failed\n' "$p:" "$(grep -ac '^pass ' "$log.part")" \
	    "$(grep -ac '^FAIL ' "$log.part")"
	cat "$log.part" >>"$log"
done
passed=$(grep -ac '^pass ' "$log")
failed=$(grep -ac '^FAIL ' "$log")
[ "$passed" -gt 0 ] || { echo "No test ran."; failed=$((failed + 1)); }
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
