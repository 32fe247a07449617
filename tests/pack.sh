#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Packing held against a general solver: small problems (four to six pieces,
# every second one may turn some), ours laid by src/work/pack.c, the other
# answer from glpsol of GLPK over tests/pack.mod.

. tests/lib.sh

if ! command -v glpsol >/dev/null 2>&1; then
	fail pack-optima "glpsol is not there: sh tests/deps.sh test"
	exit 0
fi
for seed in 1 2 3 4 5 6 7 8 9 10 11 12 13 14 15 16; do
	"$B/test/check_pack" --problem "$seed" >"$tmp/data" 2>"$tmp/err" || {
		fail "pack-optimum-$seed" "no proved answer of our own"
		continue
	}
	ours=$(sed -n 's/^# answer \([0-9]*\).*/\1/p' "$tmp/data")
	theirs=$(timeout 120 glpsol -m tests/pack.mod -d "$tmp/data" 2>/dev/null |
	    sed -n 's/^optimum //p')
	if [ -n "$ours" ] && [ "$ours" = "$theirs" ]; then pass "pack-optimum-$seed"; else
		fail "pack-optimum-$seed" "ours ${ours:-none}, glpsol ${theirs:-none}"; fi
done
