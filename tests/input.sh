#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Bad input of every sort: a clear message, the right exit status, nothing
# written, no control sequence let through; and output that cannot be written.

. tests/lib.sh
p=$tmp/p.yaml

# file NAME STATUS TEXT: checks the project on standard input
file() {
	name=$1; want=$2; text=$3
	cat >"$p"
	run bodkin check "$p"
	expect "$name: status" "$want"
	says "$name: message" "$text"
}

# ---- files that are no project -------------------------------------------------
run bodkin check "$tmp/none.yaml";  expect "missing file" 2; says "missing file is named" "there is no file"
run bodkin check "$tmp";            expect "folder" 2;       says "folder is named" "is a folder"
: >"$p"
run bodkin check "$p";              expect "empty file" 2;   says "empty file is named" "is empty"
printf '# nothing but a remark\n' >"$p"
run bodkin check "$p";              expect "remarks only" 2
head -c 4096 "$B/bodkin" >"$p"
run bodkin check "$p";              expect "binary" 2
printf 'garment: co\377at\n' >"$p"
run bodkin check "$p";              expect "broken UTF-8" 2; says "broken UTF-8 is placed" "p.yaml:1:12"
printf 'garment: "co\\eat"\n' >"$p"
run bodkin check "$p";              expect "escape by backslash" 2
printf 'garment: co\033[31mat\n' >"$p"
run bodkin check "$p";              expect "raw escape" 2
printf 'garment: co\000at\n' >"$p"
run bodkin check "$p";              expect "NUL" 2
printf 'garment: coat\nproject: "\302\233 31m"\n' >"$p"
run bodkin check "$p";              expect "C1 control" 2
head -c 300000 /dev/zero | tr '\0' 'a' >"$p"
run bodkin check "$p";              expect "too large" 2;    says "too large says so" "larger than"
run bodkin check /dev/zero;         expect "device" 2;       says "device is named" "not a file"

# ---- YAML ------------------------------------------------------------------------
{ printf 'a: '; head -c 5000 /dev/zero | tr '\0' '['; } | file "deep nesting" 2 "deeper than"
file "alias bomb" 2 "references" <<'END'
a: &a [x, x, x, x, x, x, x, x, x]
b: &b [*a, *a, *a, *a, *a, *a, *a, *a]
c: [*b, *b, *b, *b, *b, *b, *b, *b]
END
file "unquoted colon" 2 "quotes" <<'END'
garment: coat
notes: seam allowance: 15 mm
END
printf 'garment: coat\nmaterials:\n\t- shell: cotton poplin\n' | file "tab" 2 "tab"
file "key twice" 2 "given twice" <<'END'
garment: coat
garment: jacket
END
file "two documents" 2 "second document" <<'END'
garment: coat
---
garment: jacket
END

# ---- names, units, numbers -----------------------------------------------------------
file "misspelt key" 2 "did you mean" <<'END'
garmnt: coat
END
file "misspelt cloth" 2 "did you mean" <<'END'
garment: coat
materials:
  - shell: cotton popplin
END
file "wrong unit" 2 "p.yaml:4:17" <<'END'
garment: coat
materials:
  - shell: cotton poplin
    weight: 120 tex
END
file "impossible number" 2 "p.yaml:4:13" <<'END'
garment: coat
materials:
  - shell: cotton poplin
    weight: 90000000 g/m2
END
file "negative number" 2 "p.yaml:4:13" <<'END'
garment: coat
materials:
  - shell: cotton poplin
    weight: -5 g/m2
END
{ printf 'garment: coat\nmaterials:\n  - shell: cotton poplin\n    weight: '; head -c 400 /dev/zero | tr '\0' '9'; echo ' g/m2'; } |
    file "endless number" 2 "p.yaml:4:13"
file "low above high" 2 "p.yaml:4:13" <<'END'
garment: coat
materials:
  - shell: cotton poplin
    weight: 200-100 g/m2
END

# ---- plain words: notes, never errors -----------------------------------------------------
run bodkin check --words "";            expect "no words" 2
run bodkin check --words "   ";         expect "blank words" 2
run bodkin check --words "frobnicated zorp"
if [ "$status" -le 1 ]; then pass "unknown words"; else fail "unknown words" "status $status"; fi
says "unknown words are named" "frobnicated"
run bodkin check --words "lined unlined jacket in cotton poplin and in denim"
if [ "$status" -le 1 ]; then pass "contradiction"; else fail "contradiction" "status $status"; fi
run bodkin check --words "$(printf 'jacket \033[31m in \302\233 poplin \342\200\256 x')"
if [ "$status" -le 2 ]; then expect "escapes in words" "$status"; else fail "escapes in words" "status $status"; fi
run bodkin check --words "$(head -c 60000 /dev/zero | tr '\0' 'x')"
if [ "$status" -le 2 ]; then pass "one endless word"; else fail "one endless word" "status $status"; fi

# ---- calls -----------------------------------------------------------------------------------
printf 'garment: coat\n' >"$p"
run bodkin "$p";                        expect "a file without a verb" 2; says "the verb is offered" "bodkin check"
run bodkin chekc;                       expect "misspelt command" 2; says "misspelt command is guessed" "did you mean check?"
run bodkin check --breif x;             expect "misspelt option" 2;  says "misspelt option is guessed" "did you mean --brief?"
run bodkin check;                       expect "check of nothing" 2
run bodkin check --words a b;           expect "words and a file" 2
run bodkin check --words "coat" --setting needle.sise; expect "misspelt setting" 2; says "misspelt setting is guessed" "needle.size"
run bodkin check --words;               expect "words without a text" 2
run bodkin show --brief poplin;         expect "option of another command" 2
run bodkin check --words coat -d nothing; expect "unknown stage" 2;  says "stages are listed" "tokens"
run bodkin check --words coat --width 3;  expect "width out of range" 2
run bodkin list nothings;               expect "unknown kind" 2
run bodkin show nothing-of-the-kind;    expect "unknown entry" 1
run bodkin why no-such-rule-at-all;     expect "unknown rule" 1
run bodkin find zzyzx;                  expect "nothing found" 1
run bodkin convert "30 cm" tex;         expect "other dimension" 2;  says "both are named" "mass/length"
run bodkin convert "30" tex;            expect "no unit" 2
run bodkin convert "30 Ne" flurbs;      expect "unknown unit" 2
run bodkin work-out yarn-diameter size=tex; expect "no figure" 2
run bodkin work-out yarn-diametre;      expect "misspelt formula" 2; says "formula is guessed" "yarn-diameter"
run bodkin compile kb rules;            expect "compile to nowhere" 2
run bodkin compile "$tmp/none" rules -o "$tmp/x.db"; expect "compile from nowhere" 2
if [ -e "$tmp/x.db" ]; then fail "a failed compile writes nothing"; else pass "a failed compile writes nothing"; fi

# ---- databases ---------------------------------------------------------------------------------
run bodkin --kb "$tmp/none.db" list;    expect "missing database" 2; says "missing database says how" "compile"
: >"$tmp/empty.db"
run bodkin --kb "$tmp/empty.db" list;   expect "empty database" 2
run bodkin --kb "$B/bodkin" list;       expect "a program as database" 2
run bodkin --kb "$tmp" list;            expect "a folder as database" 2
size=$(wc -c <"$B/bodkin.db")
head -c $((size / 2)) "$B/bodkin.db" >"$tmp/half.db"
run bodkin --kb "$tmp/half.db" list;    expect "half a database" 2
for at in 100 5000 40000 200000 500000; do
	[ "$at" -lt "$size" ] || continue
	cp "$B/bodkin.db" "$tmp/hurt.db"
	chmod u+w "$tmp/hurt.db"
	printf 'HURT' | dd of="$tmp/hurt.db" bs=1 seek="$at" conv=notrunc 2>/dev/null
	run bodkin --kb "$tmp/hurt.db" check --words "coat in cotton poplin"
	if [ "$status" -le 2 ]; then expect "database hurt at byte $at" "$status"; else
		fail "database hurt at byte $at" "status $status" "$(head -n 3 "$tmp/err")"; fi
done
if command -v sqlite3 >/dev/null; then
	sqlite3 "$tmp/foreign.db" 'create table craft(block blob); insert into craft values (1)'
	run bodkin --kb "$tmp/foreign.db" list; expect "another program's database" 2
fi

# ---- output that cannot be written --------------------------------------------------------------
for c in "list" "help" "version" "show poplin" "check --words coat" "check --json --words coat" \
    "convert 3cm mm" "find poplin"; do
	status=0
	# shellcheck disable=SC2086
	"$B/bodkin" $c >/dev/full 2>"$tmp/err" || status=$?
	: >"$tmp/out"
	expect "full disk: $c" 2
	says "full disk is named: $c" "the disk is full"
done
status=0
echo "cotton poplin coat" | "$B/bodkin" >/dev/full 2>"$tmp/err" || status=$?
: >"$tmp/out"
expect "full disk: the prompt" 2
