#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Sheets of instructions: those written by other hands that are sound stay
# quiet, planted slips are told, and a sheet of our own leaves nothing to
# report, whatever the project and whosever words it uses.

. tests/lib.sh

for f in tests/sheets/sound-*; do
	run bodkin proof "$f"
	expect "sound: ${f##*/}" 0
	says "and quiet: ${f##*/}" "Nothing to report"
done

# the slips of each sheet, check:line, in the order of the text
for f in tests/sheets/slips-*.md tests/sheets/slips-*.txt; do
	[ -f "$f" ] || continue
	bodkin proof "$f" --json | jq -r '.findings[] | "\(.check):\(.place.line)"' >"$tmp/found"
	if diff -u "${f%.*}.found" "$tmp/found" >"$tmp/diff"; then pass "slips: ${f##*/}"; else
		fail "slips: ${f##*/}" "$(cat "$tmp/diff")"
	fi
done

# own WORDS...: in the words of the house and of two countries
own() {
	for c in "" uk us; do
		bodkin order --instructions ${c:+--country "$c"} "$@" >"$tmp/own.md" 2>/dev/null
		run bodkin proof "$tmp/own.md"
		if grep -q "Nothing to report" "$tmp/out"; then pass "own sheet${c:+ ($c)}: $*"; else
			fail "own sheet${c:+ ($c)}: $*" "$(head -n 12 "$tmp/out")"
		fi
	done
}
while IFS= read -r words; do
	own --words "$words"
done <<'END'
linen skirt with a zip and a waistband
unlined wool coat with two boxed patch pockets, a collar with fusible interfacing and buttonholes
cotton poplin shirt with a collar, fusible interfacing
denim jeans with a fly-front zip and rivets
wool flannel coat with viscose twill lining
canvas bag with eyelets and a webbing strap
silk chiffon blouse with a bow collar, French seams
child's fleece hood with a drawstring
leather waistcoat with rivets and snaps
cotton lawn nightdress for a child with a ruffle and buttons
quilt of cotton patchwork
velvet cloak with a hood and a hook and eye
jersey t-shirt with a neckband
linen curtain with a curtain heading
cotton twill trousers with slant pockets, elastic waistband
wool jacket with welt pockets, shoulder pads and a notched collar
organza dress with a princess seam, boning and a concealed zip
oilcloth tote bag with a zip pocket
cotton pyjamas with piping
linen shirt with a sleeve placket and cuffs
END
for f in tests/cases/check/*.yaml; do own "$f"; done
