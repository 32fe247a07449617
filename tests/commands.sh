#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Commands on the shipped knowledge, by what does not hang on a figure of it:
# that a sum comes out, that a refusal names the remedy, that every kind that
# can be listed can be shown.

. tests/lib.sh

# asks NAME STATUS TEXT ARGUMENTS...: runs it, and it says so
asks() {
	name=$1 wanted=$2 text=$3
	shift 3
	run bodkin "$@"
	expect "$name" "$wanted"
	says "$name: what it says" "$text"
}

holds() { jq -e "$1" "$tmp/out" >/dev/null; }

# ---- sums ----
asks "a formula alone tells what it takes" 0 "area in cm2" work-out weight-of-swatch
asks "a sum" 0 "weight-of-swatch = 185 g/m2" work-out weight-of-swatch mass=1.85g area=100cm2
asks "a sum of other units" 0 "weight-of-swatch = 185 g/m2" \
    work-out weight-of-swatch "mass=1850 mg" "area=0.01 m2"
asks "a figure too few" 2 "area is missing" work-out weight-of-swatch mass=2g
asks "a figure twice" 2 "mass is given twice" work-out weight-of-swatch mass=2g mass=3g area=1cm2
asks "a figure of something else" 2 "no figure of this formula" work-out weight-of-swatch m=3
asks "a unit of something else" 2 "it is read in g" work-out weight-of-swatch mass=2mm area=1cm2
asks "a formula with a slip" 2 "did you mean weight-of-swatch" work-out weight-of-swtch
asks "no formula" 2 "list formulas" work-out
asks "outside what it was made for" 1 "not known" work-out cover-fraction factor=30
asks "its stages" 0 "operator /" work-out weight-of-swatch -d parse
run bodkin work-out weight-of-swatch mass=1.85g area=100cm2 --json
expect "a sum for programs" 0
check "its name" holds '.formula == "weight-of-swatch"'

# ---- turning ----
asks "a count" 0 "19.684" convert "30 Ne" tex
asks "two kinds of quantity" 2 "measures" convert "3 kg" mm
asks "a bare number" 2 "number" convert 3 tex
asks "one word only" 2 "give a quantity" convert tex

# ---- what can be listed can be shown ----
bodkin list --json | jq -r '(.kinds // .items)[].name' >"$tmp/kinds" 2>/dev/null
check "there are kinds to list" test "$(wc -l <"$tmp/kinds")" -gt 10
while IFS= read -r kind; do
	run bodkin list "$kind" --json
	expect "list $kind" 0
	jq -r '.items[0].name // empty' "$tmp/out" >"$tmp/first"
	case $kind in units|properties|kinds|sources|settings|words*|rules|advice|formulas|messages|tables|constants) continue ;; esac
	[ -s "$tmp/first" ] || continue
	run bodkin show "$(cat "$tmp/first")"
	expect "show the first of $kind" 0
done <"$tmp/kinds"
asks "no such kind" 2 "there is no kind" list nonsense
asks "a name with a slip" 1 "Did you mean poplin" show poplni

# ---- reasons ----
rule=$(bodkin list rules --json | jq -r '.items[0].name')
advice=$(bodkin list advice --json | jq -r '.items[0].name')
asks "why a rule" 0 "must hold" why "$rule"
asks "why a piece of advice" 0 "advises on" why "$advice"
asks "no such rule" 1 "no rule" why nonsense
for stage in lex parse type; do
	run bodkin why "$rule" -d $stage
	expect "a rule, stage $stage" 0
	run bodkin why "$advice" -d $stage
	expect "advice, stage $stage" 0
	check "advice, stage $stage: without a complaint" test ! -s "$tmp/err"
done
# A bound of advice is shown once, as its author wrote it.
bodkin list advice --json | jq -r '.items[].name' | while IFS= read -r id; do
	bodkin why "$id" | grep -E 'at (least|most) at (least|most)|\.\. .* \.\. ' | sed "s/^/$id: /"
done >"$tmp/twice"
check "no bound is written twice" test ! -s "$tmp/twice"

# ---- what suits ----
asks "cloths for a thing" 0 "Cloths" suit --words "gathered skirt"
asks "things for a cloth" 0 "sewn of it" suit --words "denim"
run bodkin suit --words "denim" --json
expect "things for a cloth, for programs" 0
check "they have names" holds '.garments | length > 0 and all(.name != "")'
asks "suit nothing" 2 "takes a file" suit

# ---- the order of work ----
asks "an order" 0 "No order that keeps every constraint" order --words "cotton poplin shirt"
asks "an order of a file" 0 "sew on button" order tests/cases/check/lock-keepers-coat.yaml
run bodkin order --words "cotton poplin shirt" --json
expect "an order, for programs" 0
check "cutting comes before sewing" holds '[.steps[].step] | index("cut out") < index("seam")'
check "buttons go on last" holds '.steps[-1].step == "sew on button"'
check "every step stands behind what holds it back" holds '.steps | all(.number as $n | .after | all(.number < $n))'
check "it beats the order as listed" holds '[.changes[].count] < [.as_listed[].count]'
check "it is proved" holds '.proved and .changes == .at_least'
asks "a seam plan" 0 "15 mm (5/8 in)" order --seams --words "linen skirt with a zip"
asks "a seam plan has both counts of stitches" 0 "stitches per inch, " order --seams --words "linen skirt"
asks "a sheet of instructions" 0 "# How to make the skirt" order --instructions --words "linen skirt with a zip"
asks "a sheet in American words" 0 "selvage" order --instructions --country us --words "linen skirt with a zip"
asks "a sheet in words of nowhere" 2 "takes one of: uk" order --instructions --country mars --words "linen skirt"
asks "two papers at once" 2 "two papers" order --instructions --seams --words "linen skirt"
asks "a sound sheet" 0 "Nothing to report" proof tests/sheets/sound-skirt.txt
asks "a sheet with slips" 1 "10 cm is not 3 in" proof tests/sheets/slips-coat.md
asks "a sheet that is not there" 2 "there is no file" proof tests/sheets/none.md
asks "no sheet" 2 "proof takes one file" proof
asks "why an order rule" 0 "done first" why fused-before-joined
asks "order nothing" 2 "takes one project file" order

# ---- many projects ----
lines=tests/cases/batch/projects.jsonl
run bodkin batch --jobs 1 $lines
expect "many projects" 0
check "one answer for each line that says something, in order" test \
    "$(jq -r .line "$tmp/out" | tr '\n' ' ')" = "1 2 3 4 6 7 "
check "a line torn off is answered and stops nothing" test \
    "$(jq -r .status "$tmp/out" | tr '\n' ' ')" = "1 1 0 2 2 0 "
check "what fails is told" test "$(jq -r '.findings[0].rule // empty' "$tmp/out" | head -n 1)" != ""
cp "$tmp/out" "$tmp/alone"
i=0
while [ $i -lt 60 ]; do cat $lines; i=$((i + 1)); done >"$tmp/many"
bodkin batch --jobs 1 "$tmp/many" >"$tmp/one"
for jobs in 2 3; do
	bodkin batch --jobs $jobs <"$tmp/many" >"$tmp/several"
	check "$jobs workers answer as one does" cmp "$tmp/one" "$tmp/several"
done
asks "no such number of workers" 2 "from 1 to 64" batch --jobs 0 $lines
asks "no such file of projects" 2 "cannot be read" batch nowhere.jsonl

# ---- one setting, by place ----
asks "a setting of the main seam" 0 "seam" \
    check --words "denim jacket with a patch pocket" --setting stitch.length
asks "a setting where the words say" 0 "hem" \
    check --words "denim skirt, stitch length for the hem" --setting stitch.length
asks "whether a cloth suits, none said" 0 "Others that suit" \
    check --words "gathered skirt" --setting fabric.suits
asks "whether the cloth said suits" 0 "denim: " check --words "denim jacket" --setting fabric.suits
run bodkin check --words "skirt in a soft cloth" --setting fabric.suits
if grep -q "^denim\|^canvas" "$tmp/out"; then fail "a soft cloth is asked for, a stiff one offered"
else pass "what is said of the cloth is kept to"; fi
asks "a fastening of what is not fastened yet" 0 "closure: start with" \
    check --words "skirt in wool flannel, which closure" --setting closure
asks "no such setting" 2 "setting" check --words "denim skirt" --setting stitch.lenght

# ---- proofs of the knowledge ----
run bodkin audit basis twins
check "an audit ends in 0 or 1" test "$status" -le 1
says "an audit counts what values rest on" "basis all values"
run bodkin audit basis --json
check "an audit for programs ends in 0 or 1" test "$status" -le 1
check "its parts are counted" holds '.parts | length > 0 and all(.tried > 0)'
asks "no such part of the audit" 2 "neither a part of the audit" audit nonsense
