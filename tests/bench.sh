#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# How long the main things take, each run as often as fits in about a second.

. tests/lib.sh
time_of() {
	name=$1; shift
	run "$@"
	[ "$status" -le 1 ] || { echo "$name: $(head -n 1 "$tmp/err")"; exit 1; }
	start=$(date +%s%N)
	i=0
	while now=$(date +%s%N) && [ $((now - start)) -lt 1000000000 ]; do
		"$@" >/dev/null 2>&1
		i=$((i + 1))
	done
	printf '%-34s %8d µs\n' "$name" $(((now - start) / 1000 / i))
}
time_of "start and version" bodkin version
time_of "words, one line a finding" bodkin check --brief --words "denim apron, 70/10 needle, tex 60 thread"
time_of "a coat from a file, whole report" bodkin check tests/cases/check/lock-keepers-coat.yaml
time_of "search" bodkin find slippery lining
time_of "compiling all knowledge" bodkin compile kb rules -o "$tmp/x.db"
