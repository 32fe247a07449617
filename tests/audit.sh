#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# The audit of the shipped knowledge.  A part passes when no more fails than
# tests/audit.limits admits: what is known to be open.  The numbers there may
# only fall; a part without one admits none.

. tests/lib.sh
run bodkin audit --json
if [ "$status" -gt 1 ]; then
	fail "the audit runs" "status $status" "$(head -n 5 "$tmp/err")"
	exit 0
fi
jq -r '.parts[] | "\(.tried) \(.failed) \(.name)"' "$tmp/out" >"$tmp/parts"
while read -r tried failed name; do
	limit=$(awk -v n="$name" '{ l = $1; sub(/^[0-9]+ /, "") } $0 == n { print l }' tests/audit.limits)
	limit=${limit:-0}
	if [ "$tried" -eq 0 ]; then
		fail "audit $name" "nothing was tried"
	elif [ "$failed" -gt "$limit" ]; then
		fail "audit $name: $failed of $tried fail, at most $limit are known" \
		    "$(jq -r '.report[]' "$tmp/out" | grep -F "$name" | head -n 40)"
	else
		pass "audit $name: $failed of $tried fail"
		[ "$failed" -eq "$limit" ] ||
		    echo "    only $failed fail now: lower the $limit in tests/audit.limits"
	fi
done <"$tmp/parts"
