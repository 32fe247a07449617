#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# What a compiler does not see: sources missing from the Makefile, banned
# functions, sentences named on one side only, trade words in C, long lines.
#
#   lint.sh "SOURCES of the Makefile"

. tests/lib.sh
bad=0
no() { echo "lint: $1"; shift; printf '%s\n' "$@" | head -n 12 | sed 's/^/    /'; bad=1; }
none() { what=$1; shift; found=$("$@" 2>/dev/null) && [ -n "$found" ] && no "$what" "$found"; return 0; }

for f in $(cd src && find . -name '*.c' | sed 's,^\./,,; s,\.c$,,'); do
	case " $1 main " in *" $f "*) ;; *) no "src/$f.c stands in no list of the Makefile" "" ;; esac
done
for f in $1; do [ -f "src/$f.c" ] || no "the Makefile lists $f, which is not there" ""; done

c() { grep -rnE "$1" src --include='*.c' --include='*.h'; }
none "a banned function" c '[^a-z_](strtod|atof|strtof|[sf]?scanf|strcasecmp|strncasecmp|toupper|tolower|gets|strcpy|strcat|sprintf|system)[ ]*\('
none "a number printed for people without the shortest-form routine" c 'print[a-z]*\(.*"[^"]*%[-+0-9.]*[aefgAEFG]'
none "setlocale beyond LC_CTYPE" sh -c 'grep -rn "setlocale(" src | grep -v LC_CTYPE'
none "SQL run without a prepared statement outside the writer" sh -c 'grep -rln "sqlite3_mprintf" src'
none "a line over 100 letters" sh -c "find src -name '*.[ch]' | xargs awk 'length > 100 { print FILENAME \":\" FNR }'"
none "a file without its licence line" sh -c "find src tests -name '*.[ch]' -o -name '*.sh' | xargs grep -L SPDX-License-Identifier"
none "a path of somebody's machine" sh -c "git grep -nIE '(^|[^A-Za-z0-9_.])/(home|Users)/[a-z]' -- src kb rules docs README.md DEVELOPERS.md"

# Sentences: every id used is there, every id there is used.
grep -rohE '"[a-z-]+(\.[a-z-]+)+"' src --include='*.c' | tr -d '"' | sort -u >"$tmp/used"
sed -nE 's/^  - id: ([a-z-]+(\.[a-z-]+)+)$/\1/p' kb/messages*.yaml | sort -u >"$tmp/there"
sed -nE 's/.*SAY\(r, "([^"]+)".*/\1/p' -r src/command/*.c src/prompt/*.c | sort -u | while read -r id; do
	grep -qxF "$id" "$tmp/there" || echo "$id"
done >"$tmp/lost"
[ -s "$tmp/lost" ] && no "a sentence used but not in kb/messages.yaml" "$(cat "$tmp/lost")"
# Those that end in a country's name are put together where they are used.
comm -13 "$tmp/used" "$tmp/there" | grep -vE '[.](words|reader)-(us|uk|au|in)$' >"$tmp/idle"
[ -s "$tmp/idle" ] && no "a sentence nobody says" "$(cat "$tmp/idle")"

# Names of entries have no place in C: the words of two letters and more of
# all cloths, fibres and details.
sed -nE 's/^  - (fabric|fibre|garment|stitch type|seam type|notion): (.*)$/\2/p' kb/*.yaml | tr -d "'\"" |
    grep -E '^[a-z]{5,}$' | grep -vxE 'other|cover|binding' | sort -u >"$tmp/trade"
find src -name '*.[ch]' | sort | while read -r f; do
	# The preprocessor takes the comments out and leaves the strings.
	gcc -fpreprocessed -dD -E -P "$f" 2>/dev/null | grep -vE '\.(help|examples) *=|"(check|show|find|denim) ' |
	    grep -oE '"([^"\\]|\\.)*"' | grep -owFf "$tmp/trade" | sort -u | sed "s,^,$f: ,"
done | grep -v ': garment$' >"$tmp/words"          # the kind every craft must have
[ -s "$tmp/words" ] && no "a word of the trade in C" "$(cat "$tmp/words")"

if command -v shellcheck >/dev/null; then
	shellcheck -S warning -s sh tests/*.sh || bad=1
fi
[ "$bad" -eq 0 ] && echo "lint: clean"
exit "$bad"
