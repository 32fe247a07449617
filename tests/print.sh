#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Reports as files: HTML opened in a browser, PDF taken apart by other
# programs, and what must never be written over.

. tests/lib.sh

project=tests/cases/check/lock-keepers-coat.yaml
out=$tmp/out-files
mkdir "$out"
print() { "$B/bodkin-print" "$@"; }

# A table over several sheets: its head has words that stand nowhere else.
long_page() {
	echo 'about language "en"'
	echo 'title "A long table"'
	echo 'paragraph "Before it."'
	echo 'table 121 3 heads "Bolts on the shelf"'
	echo '  "Boltmark" "Clothname" "Remarks"'
	awk 'BEGIN { for (i = 1; i <= 120; i++)
	    printf "  \"bolt %d\" \"start%d\" \"a remark that goes on long enough to need a second line in its column, since rows must not be cut: end%d\"\n", i, i, i }'
}
long_page >"$tmp/long.page"

# sheets FILE: what stands on each sheet, as FILE.1, FILE.2, ...
sheets() {
	count=$(pdfinfo "$1" | sed -n 's/^Pages: *//p')
	i=1
	while [ "$i" -le "${count:-0}" ]; do
		pdftotext -layout -f "$i" -l "$i" "$1" "$1.$i"
		i=$((i + 1))
	done
}
# The head once on each of several sheets, and every row whole on one of them.
heads_repeat() {
	sheets "$2"
	bad=
	[ "$count" -gt 2 ] || bad="only $count sheets"
	i=1
	while [ "$i" -le "$count" ]; do
		[ "$(grep -c 'Boltmark' "$2.$i")" -eq 1 ] || bad="$bad; sheet $i has not one head"
		starts=$(grep -oE 'start[0-9]+' "$2.$i" | grep -oE '[0-9]+')
		ends=$(grep -oE 'end[0-9]+' "$2.$i" | grep -oE '[0-9]+')
		[ "$starts" = "$ends" ] || bad="$bad; a row of sheet $i is cut"
		i=$((i + 1))
	done
	rows=$(cat "$2".[0-9]* | grep -cE 'start[0-9]+')
	[ "$rows" -eq 120 ] || bad="$bad; $rows rows"
	if [ -z "$bad" ]; then pass "$1"; else fail "$1" "$bad"; fi
}

# ---- written, and what the terminal would have said ----
for kind in html pdf txt json; do
	run bodkin check "$project" -o "$out/coat.$kind"
	expect "check writes $kind" 1
	check "$kind is there" test -s "$out/coat.$kind"
	[ "$kind" = json ] || says "it tells so" "Written: $out/coat.$kind"
done
bodkin check "$project" >"$tmp/terminal" 2>/dev/null
check "a text file is what the terminal shows" cmp -s "$tmp/terminal" "$out/coat.txt"
bodkin check "$project" --json >"$tmp/json" 2>/dev/null
check "a JSON file is what --json prints" cmp -s "$tmp/json" "$out/coat.json"
# all_write COMMAND...: as HTML and as PDF, with the same status
all_write() {
	run bodkin "$@"
	was=$status
	for kind in html pdf; do
		run bodkin "$@" -o "$out/$1.$kind"
		expect "$1 as $kind" "$was"
		check "$1 as $kind is there" test -s "$out/$1.$kind"
	done
}
all_write show "flat-felled seam"
all_write suit --words "unlined jacket" --paper Letter
all_write order "$project" --large
all_write trouble "skipped stitches"
all_write find "what needle for silk chiffon"
all_write why thread-crowds-the-eye
all_write list fabrics
all_write convert "30 Ne" tex
all_write work-out weight-of-swatch mass=1.85g area=100cm2

# ---- never written over, never half written ----
cp "$project" "$out/copy.html"                 # a project under a name like a report's
run bodkin check "$out/copy.html" -o "$out/copy.html"
expect "a report over its own input" 2
check "the input is untouched" cmp -s "$project" "$out/copy.html"
ln "$out/copy.html" "$out/link.html"
run bodkin check "$out/copy.html" -o "$out/link.html"
expect "the same by another name" 2
run bodkin show poplin -o "$out/poplin.docx"
expect "an ending without a kind" 2
says "the endings there are" ".html, .pdf, .txt or .json"
run bodkin show poplin -o "$out/.html"
expect "an ending and no name" 2
run bodkin show poplin --json -o "$out/poplin.html"
expect "--json as HTML" 2
run bodkin show poplin -d page -o "$out/poplin.html"
expect "a stage as a report" 2
check "nothing was written" test ! -e "$out/poplin.html"
run bodkin show poplin -o "$tmp/no/such/folder/poplin.html"
expect "a folder that is not there" 2
run bodkin show poplin --paper A5 -o "$out/poplin.html"
expect "a paper there is none of" 2
says "the papers there are" "A4 or Letter"
run bodkin batch -o "$out/x.html"
expect "a command without a report" 2
mkdir "$tmp/alone"
cp "$B/bodkin" "$B/bodkin.db" "$tmp/alone"
echo old >"$out/kept.pdf"
if [ ! -x "$(cat "$B/prefix")/libexec/bodkin/bodkin-print" ]; then
	run "$tmp/alone/bodkin" show poplin -o "$out/kept.pdf"
	expect "PDF without its program" 2
	says "what is missing" "bodkin-print"
	check "the file before is kept" grep -qx old "$out/kept.pdf"
fi
printf '#!/bin/sh\ncat >/dev/null\necho half\nexit 1\n' >"$tmp/alone/bodkin-print"
chmod +x "$tmp/alone/bodkin-print"
run "$tmp/alone/bodkin" show poplin -o "$out/kept.pdf"
expect "PDF from a program that breaks" 2
check "the file before is kept then too" grep -qx old "$out/kept.pdf"
run bodkin check --words 'denim apron <script>alert(1)</script> "&' -o "$out/hostile.html"
check "no words of the user's become markup" sh -c "! grep -qi '<script' '$out/hostile.html'"
check "they are shown as they are" grep -q '&lt;script&gt;' "$out/hostile.html"

# ---- PDF, by itself ----
# whole NAME FILE: sound, every font embedded, a title, a language
whole() {
	run qpdf --check "$2"
	expect "$1: sound" 0
	check "$1: all fonts are embedded" sh -c \
	    "pdffonts '$2' | sed 1,2d | awk '\$(NF-4) != \"yes\" { bad = 1 } END { exit bad || NR == 0 }'"
	check "$1: has a title" sh -c "pdfinfo '$2' | grep -qE '^Title: +.'"
	check "$1: has its language" sh -c "qpdf --qdf --object-streams=disable '$2' - | grep -aq '/Lang (en)'"
}
words_in() { pdftotext -layout "$1" - | tr -s ' \n' '  ' | grep -qF -- "$2"; }
size_of() { pdfinfo "$1" | grep -qF "$2"; }

for f in coat show suit order trouble; do whole "$f.pdf" "$out/$f.pdf"; done
check "it says what was asked" words_in "$out/coat.pdf" "What does not go together"
check "A4 unless told" size_of "$out/coat.pdf" "(A4)"
check "Letter when told" size_of "$out/suit.pdf" "(letter)"
check "the words of a drawing are printed" words_in "$out/show.pdf" "thicknesses"
run print -o "$out/every.pdf" tests/print/every-block.page
expect "every block as PDF" 0
whole "every block" "$out/every.pdf"
check "a dimension's label" words_in "$out/every.pdf" "200 mm (7 7/8 in)"
check "the ratio of a drawing" words_in "$out/every.pdf" "A pocket to scale 1:2"
sheets "$out/every.pdf"
check "whom it is for stands on each sheet" \
    test "$(grep -l 'Wardrobe room, second week' "$out"/every.pdf.? | wc -l)" -eq "$count"
check "sheets are numbered" grep -qE "$count ?/ ?$count" "$out/every.pdf.$count"
check "a new sheet where one is asked for" grep -q "On a new sheet" "$out/every.pdf.$count"
run print --large -o "$out/every-large.pdf" tests/print/every-block.page
expect "every block in large print" 0
check "a wide table becomes cards" words_in "$out/every-large.pdf" "collar: not suited"
run print --paper Letter -o "$out/long.pdf" "$tmp/long.page"
expect "a long table" 0
heads_repeat "its head on every sheet, no row cut" "$out/long.pdf"
print tests/print/every-block.page >"$tmp/once.pdf"
check "the same bytes again" cmp -s "$tmp/once.pdf" "$out/every.pdf"
check "no date" sh -c "! pdfinfo '$out/every.pdf' | grep -q Date"
SOURCE_DATE_EPOCH=1000000000 "$B/bodkin-print" -o "$tmp/dated.pdf" tests/print/every-block.page
check "a date when one is told" sh -c "TZ=UTC pdfinfo '$tmp/dated.pdf' | grep -q 'Sun Sep  9 01:46:40 2001'"

# In grey it still tells the tones apart, since words and frames do.
pdftoppm -r 60 -gray "$out/every.pdf" "$tmp/grey"
check "it can be made a picture" test -s "$tmp/grey-1.pgm"

for bad in 'nothing "x"' 'drawing 1 1 "t" ""' 'table 1 99 "a"' 'box -3 2 "x"' 'heading 3 "skips"' ''; do
	printf '%s\n' "$bad" >"$tmp/bad.page"
	[ -n "$bad" ] || : >"$tmp/bad.page"
	run print -o "$tmp/bad.pdf" "$tmp/bad.page"
	expect "no page: $bad" 2
done
check "nothing is written of what is no page" test ! -e "$tmp/bad.pdf"
run print --paper A5 tests/print/every-block.page
expect "a paper there is none of, asked of bodkin-print" 2

# ---- HTML, in a browser ----
print --html -o "$out/every-block.html" tests/print/every-block.page
print --html --large -o "$out/every-large.html" tests/print/every-block.page
print --html -o "$out/long-table.html" "$tmp/long.page"
[ -f tests/browser/node_modules/axe-core/axe.min.js ] ||
    echo "note: axe-core is not there (npm ci in tests/browser), so its checks are left out"
mkdir "$tmp/looked"
node tests/browser/browser.js "$tmp/looked" "$out/every-block.html" "$out/every-large.html" \
    "$out/long-table.html" "$out/coat.html" "$out/show.html" "$out/order.html" "$out/trouble.html"
heads_repeat "printed by a browser: the head on every sheet, no row cut" "$tmp/looked/long-table.pdf"
check "printed by a browser: whom it is for" words_in "$tmp/looked/every-block.pdf" \
    "Wardrobe room, second week"
check "printed by a browser: A4" size_of "$tmp/looked/coat.pdf" "(A4)"

# A page full of faults, or the eyes that look at the others might be closed.
node tests/browser/browser.js "$tmp/looked" tests/print/broken.html >"$tmp/faults"
for fault in "no language" "first heading\|skips a level" "too faint" "runs to 9" "without a head" \
    "nothing.png" "something on the console"; do
	check "a fault is seen: $fault" grep -q "$fault" "$tmp/faults"
done
