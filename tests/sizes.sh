#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Sizes of constructions: what pages print as worked examples, recomputed from
# what a person would tell; there and back; what is refused; tables of one unit
# in another against GNU units.

. tests/lib.sh

need() { command -v "$1" >/dev/null 2>&1; }
if ! need jq; then fail "jq is there"; exit 0; fi

# project NAME LINES...: a project file
project() { file=$tmp/$1.yaml; shift; printf '%s\n' "$@" >"$file"; }
sized() { run bodkin sizes "$@" --json; }
# size KIND PROPERTY LOW HIGH: of the last run, in the unit it is told in, to a thousandth
size() {
	jq -e --arg k "$1" --arg p "$2" --argjson lo "$3" --argjson hi "$4" '
	  [.constructions[] | select(.kind == $k) | .sizes[] | select(.property == $p) | .value]
	  | length == 1 and (.[0].low - $lo | fabs) < 0.006 and (.[0].high - $hi | fabs) < 0.006' \
	    "$tmp/out" >/dev/null && return
	jq -c --arg k "$1" --arg p "$2" '.constructions[] | select(.kind == $k) | .sizes[]
	  | select(.property == $p) | .value' "$tmp/out" >&2
	return 1
}

# ---- worked examples of pages ------------------------------------------------------
# "Making a pattern for your cargo pocket", a sewing course: 13.5 cm wide with a side of 4 cm
# (seam in it) and a pleat of 10 cm is cut 31.5 cm; 16.5 cm long is cut 25 cm.
project cargo "garment: trousers" "features:" "  - cargo pocket: {width: 13.5 cm, length: 16.5 cm, depth: 3 cm, allowance: 1 cm, pleat-depth: 2.5 cm, hem-depth: 3.5 cm, first-turn: 1 cm}"
sized "$file"
expect "a published pocket" 0
check "its width as published, 31.5 cm" size boxed-sizes cut-width 315 315
check "its length as published, 25 cm" size boxed-sizes cut-length 250 250
# The page cuts a corner square of 2.5 cm and says a corner seam of 1 cm. That is wrong: such a seam
# needs a square of 3 cm; 2.5 cm goes with a seam of 1.5 cm.
check "its corner square is 3 cm, not 2.5 cm as published" size boxed-sizes square 30 30
project cargo2 "garment: trousers" "features:" "  - cargo pocket: {width: 13.5 cm, length: 16.5 cm, depth: 3 cm, allowance: 1 cm, corner-allowance: 1.5 cm}"
sized "$file"
check "the published square goes with another seam" size boxed-sizes square 25 25
# "How to box corners for bags", a tutorial: a square of 2 in gives a depth of 4 in. It does not say
# from where the square is measured; from the seam lines the same corner is 2 in less one allowance.
project corner "garment: bag" "features:" "  - boxed corner: {corner-square: 2 in, allowance: 0.5 in}"
sized "$file"
check "a boxed corner as published" size corner-sizes depth 101.6 101.6
check "the other convention" size corner-sizes square-inside 38.1 38.1
project corner2 "garment: bag" "features:" "  - boxed corner: {corner-square-inside: 1.5 in, allowance: 0.5 in}"
sized "$file"
check "told the other way it is the same corner" size corner-sizes depth 101.6 101.6
check "and its square from the raw edges" size corner-sizes square 50.8 50.8
# A knife pleat page: 34 in with 34 pleats 1 in deep takes 102 in, without seams.
project knife "garment: skirt" "features:" "  - knife pleats: {width: 34 in, depth: 1 in, count: 34, allowance: 0 mm}"
sized "$file"
check "knife pleats as published, 102 in" size knife-sizes cut-width 259.08 259.08
# "Making continuous piping strips and bias binding": 250 in of a strip of 2 in comes from a square of
# 22.36 in, joins not counted.
project bias "garment: apron" "features:" "  - bias binding: {cut-width: 2 in, length: 250 in, joins: 0 %}"
sized "$file"
check "a square for bias strips as published" size bias-sizes square 56.80 56.80
check "the distance along the selvedge" size bias-sizes along 71.84 71.84
# A circle skirt page: a waist of 26 in, full circle, radius 4.13 in.
project circle "garment: {is: circle skirt, waist: 26 in, skirt-length: 20 in}"
sized "$file"
check "a circle skirt as published" size circle-sizes radius 10.51 10.51
# "Measuring elastic for waistbands": 1 to 3 in less than the waist.
project elastic "garment: {is: skirt, waist: 28 in}" "features:" "  - elastic casing: {underlap: 0 mm}"
sized "$file"
check "waist elastic as published" size casing-sizes elastic 63.5 68.58

# ---- there and back -------------------------------------------------------------------
# there KIND FEATURE WIDTH-KEY PROPERTY VALUE FACTS: what is cut gives back what was finished
back() {
	kind=$1 feature=$2 key=$3 property=$4 value=$5 cut=$6 cutkey=$7 facts=$8
	project there "garment: skirt" "features:" "  - $feature: {$key: $value mm, $facts}"
	sized "$file"
	lo=$(jq --arg k "$kind" --arg p "$cut" '.constructions[] | select(.kind == $k) | .sizes[] | select(.property == $p) | .value.low' "$tmp/out")
	unit=$(jq -r --arg k "$kind" --arg p "$cut" '.constructions[] | select(.kind == $k) | .sizes[] | select(.property == $p) | .value.unit' "$tmp/out")
	project back "garment: skirt" "features:" "  - $feature: {$cutkey: $lo $unit, $facts}"
	sized "$file"
	jq -e --arg k "$kind" --arg p "$property" --argjson v "$value" '
	  .constructions[] | select(.kind == $k) | .sizes[] | select(.property == $p) | .value
	  | (if .unit == "cm" then 10 else 1 end) as $f
	  | (.low * $f - $v | fabs) < 0.06 and (.high * $f - $v | fabs) < 0.06' "$tmp/out" >/dev/null
}
check "a patch pocket there and back" back patch-sizes "patch pocket" width width 140 cut-width cut-width \
    "length: 160 mm, depth: 30 mm, first-turn: 8 mm, allowance: 10 mm, pleat-depth: 15 mm"
check "a boxed pocket there and back" back boxed-sizes "boxed patch pocket" width width 150 cut-width cut-width \
    "length: 160 mm, depth: 30 mm, hem-depth: 30 mm, first-turn: 8 mm, allowance: 10 mm"
check "a bellows pocket there and back" back bellows-sizes "bellows pocket" width width 150 cut-width cut-width \
    "length: 160 mm, depth: 30 mm, hem-depth: 30 mm, first-turn: 8 mm, allowance: 10 mm"
check "knife pleats there and back" back knife-sizes "knife pleats" width width 920 cut-width cut-width \
    "depth: 40 mm, count: 18, allowance: 15 mm"
check "box pleats there and back" back box-sizes "box pleat" width width 600 cut-width cut-width \
    "depth: 60 mm, count: 2, allowance: 15 mm"
check "tucks there and back" back tuck-sizes tucks panel panel 300 cut-width cut-width \
    "width: 5 mm, count: 8, allowance: 15 mm"
check "a facing there and back" back facing-sizes facing width width 60 cut-width cut-width \
    "length: 600 mm, allowance: 10 mm"

# ---- ranges, gaps, refusals -------------------------------------------------------------
run bodkin sizes --words "linen skirt with 18 knife pleats 4 cm deep, finished width 92 cm" --json
expect "sizes in words" 0
check "what makes a size wide is named" jq -e '.constructions[] | select(.kind == "knife-sizes") | .sizes[]
    | select(.property == "cut-width") | .mostly == "seam allowance" and .share > 0.99' "$tmp/out" >/dev/null
check "how it comes about is told with its figures" jq -e '.constructions[] | select(.kind == "knife-sizes")
    | .sizes[] | select(.property == "hidden") | .formulas == ["cloth-hidden-in-pleats"]
    and (.with_values | test("40 mm"))' "$tmp/out" >/dev/null
run bodkin sizes --words "linen skirt with knife pleats"
expect "lengths that were not told" 0
says "are asked for in words" '"knife pleats, finished width ...'
says "and for a file" 'under "- feature: knife pleats"'
says "while a usual range is told as one" "typical of knife pleats"
check "nothing is guessed" sh -c '! grep -q "width to cut *[0-9]" "$1"' - "$tmp/out"
for bad in "pleat depth 0 cm" "top hem -3 cm" "cut width 900000 mm"; do
	run bodkin sizes --words "linen apron with a patch pocket, $bad"
	expect "refused: $bad" 2
	says "refused with the reason: $bad" "cannot be"
done
project huge "garment: apron" "features:" "  - patch pocket: {width: 1e308 mm}"
run bodkin sizes "$file"
expect "a size beyond counting is refused" 2
project zero "garment: apron" "features:" "  - patch pocket: {width: 0 mm}"
run bodkin sizes "$file"
expect "a size of nothing is refused in a file" 2
run bodkin sizes --words "canvas apron with boxed pockets 5 cm deep, cut width 11 cm"
expect "a size that cannot be is a finding" 1
says "told in words" "there is no pocket left"
run bodkin sizes
expect "sizes of nothing" 2
run bodkin sizes --words "linen apron with a patch pocket 14 cm wide, 16 cm long"
expect "a drawing at the terminal" 0
says "drawn" "┌──"
run bodkin sizes --ascii --words "linen apron with a patch pocket 14 cm wide, 16 cm long"
check "plain ASCII on request" sh -c '! LC_ALL=C grep -q "[^ -~]" "$1"' - "$tmp/out"

# ---- what has to pass ----------------------------------------------------------------------
run bodkin check --brief --words "linen blouse for an adult, neck opening 48 cm"
says "a head does not pass" "head-does-not-pass"
run bodkin check --brief --words "linen blouse for an adult"
check "nothing is said where no size was told" sh -c '! grep -qE "does-not-pass|do-not-pass" "$1"' - "$tmp/out"

# ---- tables against GNU units -----------------------------------------------------------------
if need units; then
	judged() { # FROM-UNIT TO-UNIT RANGE GNU-FROM GNU-TO
		run bodkin convert --table "$3 $1" "$2" --json
		jq -r '.rows[] | "\(.from) \(.exact)"' "$tmp/out" >"$tmp/rows"
		[ -s "$tmp/rows" ] || return 1
		while read -r from exact; do
			want=$(units -t -o %.12g -- "$from $4" "$5") || return 1
			awk -v a="$exact" -v b="$want" 'BEGIN { d = a - b; if (d < 0) d = -d; exit !(d <= 1e-9 * (b < 0 ? -b : b) + 1e-12) }' ||
			    return 1
		done <"$tmp/rows"
	}
	check "cm in inches" judged cm in 1-20 cm inch
	check "and back" judged in cm 1-20 inch cm
	check "mm in inches" judged mm in 1-20 mm inch
	check "yards in metres" judged yd m 1-10 yd m
	check "and back" judged m yd 1-10 m yd
	check "ounces in grams, by the square" judged oz/yd2 g/m2 1-12 "oz/yd^2" "g/m^2"
	check "tex in denier" judged tex denier 10-60 tex denier
else
	fail "GNU units is there"
fi
run bodkin convert --table "1-4 cm" in --round 1/8
expect "a table for print" 0
says "a fraction" "1 5/8 in"
says "and how far it is off" "+0.13 cm (+3.2 %)"
run bodkin convert --table "1-30 cm" in --every 0.001
expect "too long a table" 2
run bodkin convert --table "5 cm" in
expect "a table of one value" 2
run bodkin convert --table "1-5 cm" in --round 0
expect "rounding to nothing" 2
run bodkin convert --table "10-20 Ne" tex
expect "a table of yarn counts" 0
says "in its own figures" "59.0541"
