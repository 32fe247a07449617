#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Runs each fuzzer of tests/fuzz for FUZZ_SECONDS (10), from seeds that the
# other tests hold already and from tests/fuzz/seeds/NAME, where what was once
# found is kept.
#
#   fuzz.sh [NAME ...]      yaml words list proof reading expression search knowledge database
#
# What it finds stays in $B/fuzz: run the fuzzer on that file to see it again.

. tests/lib.sh
seconds=${FUZZ_SECONDS:-10}
[ $# -gt 0 ] || set -- yaml words list proof reading expression search knowledge database
small_kb || exit 1

# Names of the small base and of the whole one, as words to try.
words() {
	for f in "$@"; do
		sed -nE 's/^ *(- )?\{?[a-z ]+: *\{?([^]{}[,"#|]*).*/\2/p' "$f"
	done | sed 's/ *$//' | grep -E '^[a-z0-9 -]{3,30}$' | LC_ALL=C sort -u | head -n 800 |
	    sed 's/.*/"&"/'
}

# seed NAME FOLDER: what to begin from
seed() {
	[ -d "tests/fuzz/seeds/$1" ] && cp tests/fuzz/seeds/"$1"/* "$2"
	case $1 in
	yaml) cp tests/cases/*/*.yaml "$2" ;;
	proof) cp tests/sheets/*.txt tests/sheets/*.md "$2" ;;
	words)
		n=0
		grep -hE '^ *- (fires|quiet|undecided|for): ' tests/unit/kb-judge/rules/*.yaml rules/*.yaml |
		    sed -E 's/^ *- [a-z]+: *"?([^"]*)"?$/\1/' | head -n 150 |
		    while IFS= read -r line; do n=$((n + 1)); printf '%s' "$line" >"$2/w$n"; done ;;
	list)
		printf 'part,description,made of,weight\nshell,denim,"cotton 98 %%, 2%% elastane",12 oz/yd2\n' >"$2/l1"
		printf 'sep=;\npart;description;weight (g/m2)\nlining;"say ""soft""";70\n' >"$2/l2"
		printf '\377\376p\000a\000r\000t\000' >"$2/l3" ;;
	expression)
		n=0
		grep -hE '^ *(when|must|is|take|best): ' tests/unit/kb-judge/rules/*.yaml rules/*.yaml |
		    sed -E "s/^ *[a-z]+: *['\"]?(.*[^'\"])['\"]?\$/\\1/" | head -n 200 |
		    while IFS= read -r line; do n=$((n + 1)); printf '!%s' "$line" >"$2/e$n"; done ;;
	reading)
		n=0
		grep -hoE "[0-9][0-9./ -]*(mm|cm|in|tex|g/m²|g/m2|Ne|%|°C|spi)" kb/*.yaml | LC_ALL=C sort -u |
		    head -n 150 |
		    while IFS= read -r line; do n=$((n + 1)); printf '%b%s' "\\0$((n % 7))" "$line" >"$2/r$n"; done ;;
	search) printf 'stiff cloth for a coat' >"$2/s1"; printf 'why "AND NOT (poplin*' >"$2/s2" ;;
	knowledge)
		cat tests/unit/kb-judge/kb/*.yaml tests/unit/kb-judge/rules/*.yaml >"$2/k1"
		cat tests/unit/kb-small/kb/*.yaml tests/unit/kb-small/rules/*.yaml >"$2/k2" ;;
	database)
		for where in 0 1 2; do printf '%b\001\002\003\000\001\007' "\\0$where" >"$2/d$where"; done ;;
	esac
}

for name; do
	it=$B/fuzz/fuzz_$name
	corpus=$B/fuzz/corpus/$name
	begin=$tmp/seeds/$name
	mkdir -p "$corpus" "$begin"
	seed "$name" "$begin"
	base=$small
	most=500
	extra=
	leaks=1
	case $name in
	words) base=$B/bodkin.db; most=300; words kb/*.yaml >"$tmp/dict"; extra=-dict=$tmp/dict ;;
	proof) base=$B/bodkin.db; most=1200 ;;
	reading|search) base=$B/bodkin.db; most=100 ;;
	yaml) words tests/unit/kb-judge/kb/*.yaml >"$tmp/dict"; extra=-dict=$tmp/dict; most=1500 ;;
	knowledge) most=16000 ;;
	expression) words tests/unit/kb-judge/kb/*.yaml >"$tmp/dict"; extra=-dict=$tmp/dict; most=300 ;;
	database) most=80; leaks=0 ;;         # an end in the net frees nothing
	esac
	log=$tmp/log-$name
	(cd "$tmp" && ASAN_OPTIONS=detect_leaks=$leaks FUZZ_KB=$base "$it" -max_total_time="$seconds" -timeout=20 -rss_limit_mb=3000 \
	    -max_len=$most -artifact_prefix="$B/fuzz/found-$name-" -print_final_stats=1 $extra \
	    "$corpus" "$begin") >"$log" 2>&1
	status=$?
	runs=$(sed -n 's/.*number_of_executed_units: *//p' "$log")
	if [ "$status" -eq 0 ] && [ "${runs:-0}" -gt 0 ]; then
		pass "$name: $runs inputs"
	else
		fail "$name: status $status" "$(grep -aE 'does not hold|ERROR|SUMMARY|runtime error|die\(|#[0-9]+ .*src/|Test unit' "$log" | head -n 14)"
	fi
done
