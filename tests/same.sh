#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Same input, same bytes: in any locale and time zone, twice in a row, built by
# gcc and by clang, optimised or not.

. tests/lib.sh

answers() {
	"$1" check tests/cases/check/lock-keepers-coat.yaml
	"$1" check --json tests/cases/check/lock-keepers-coat.yaml
	"$1" check --words "unlined jacket in light cotton poplin with a fly-front zip, 2,5 mm stitch, 90/14 needle"
	"$1" check --words "denim apron" -d tokens,project,model,rules,advise
	"$1" show poplin
	"$1" find what needle for silk chiffon
	"$1" list fabrics
	"$1" convert "1 3/8 in" mm
	"$1" convert "30 Ne" tex
	"$1" work-out yarn-diameter "size=30 tex" density=1.38 packing=0.6
	printf 'jacket in cotton poplin\n80/12 needle\nwhat if it is denim\nsettings\n' | "$1"
} 2>&1

# alike NAME FILE: the same as the first answers
alike() {
	if cmp -s "$tmp/first" "$2"; then pass "$1"; else
		fail "$1" "$(diff "$tmp/first" "$2" | cut -c1-200 | head -n 10)"; fi
}

"$B/bodkin" compile kb rules -o "$tmp/first.db" 2>/dev/null
export BODKIN_KB="$tmp/first.db"
answers "$B/bodkin" >"$tmp/first"
if [ "$(wc -l <"$tmp/first")" -gt 100 ]; then pass "there is something to compare"; else
	fail "there is something to compare" "$(head -n 5 "$tmp/first")"; fi
answers "$B/bodkin" >"$tmp/again"
alike "twice in a row" "$tmp/again"

# Locales are made here, so that the test does not hang on what is installed.
for l in de_DE tr_TR; do
	if command -v localedef >/dev/null && localedef -i $l -f UTF-8 "$tmp/$l.UTF-8" 2>/dev/null; then
		LOCPATH=$tmp LC_ALL=$l.UTF-8 answers "$B/bodkin" >"$tmp/$l"
		alike "locale $l" "$tmp/$l"
	fi
done
for l in C C.UTF-8 POSIX; do
	LC_ALL=$l answers "$B/bodkin" >"$tmp/$l"
	alike "locale $l" "$tmp/$l"
done
TZ=Asia/Tokyo LANG=fr_FR LANGUAGE=fr answers "$B/bodkin" >"$tmp/zone"
alike "time zone and language" "$tmp/zone"

build() {
	if make -s -j2 B="$B/$1" CC="$2" CFLAGS="$3" "$B/$1/bodkin" >"$tmp/log" 2>&1; then
		check "$2 $3 builds without a word" test ! -s "$tmp/log"
	else
		fail "$2 $3 builds" "$(tail -n 5 "$tmp/log")"
		return
	fi
	answers "$B/$1/bodkin" >"$tmp/$1"
	alike "$2 $3" "$tmp/$1"
	"$B/$1/bodkin" compile kb rules -o "$tmp/$1.db" 2>/dev/null
	if cmp -s "$tmp/first.db" "$tmp/$1.db"; then pass "$2 $3 compiles the same database"; else
		fail "$2 $3 compiles the same database"; fi
}
if command -v clang >/dev/null; then build clang clang -O0; else fail "clang is there to compare with"; fi
build gcc-O0 gcc -O0

# Installed somewhere else, the program finds its knowledge without being told.
unset BODKIN_KB
make -s B="$B" DESTDIR="$tmp/root" PREFIX=/opt/bodkin install >"$tmp/log" 2>&1
if (cd / && "$tmp/root/opt/bodkin/bin/bodkin" show poplin) >"$tmp/out" 2>"$tmp/err"; then
	pass "installed elsewhere it answers"
else
	fail "installed elsewhere it answers" "$(head -n 3 "$tmp/log" "$tmp/err")"
fi
make -s B="$B" DESTDIR="$tmp/root" PREFIX=/opt/bodkin uninstall >"$tmp/log" 2>&1
if find "$tmp/root" -type f | grep -q .; then fail "uninstall leaves nothing"; else
	pass "uninstall leaves nothing"; fi
