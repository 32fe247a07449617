#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Every unit against GNU units (its definitions file is the outside judge: yarn
# counts after "Yarn linear density", silk after "Traditional silk weight").
#
# A row:  OUR UNIT | OUR UNIT TO TURN IT INTO | FOR GNU UNITS, @ IS THE NUMBER | GNU UNIT
# A unit without a row fails; one that GNU units does not know says why.

. tests/lib.sh
table=$tmp/table
cat >"$table" <<'END'
m|mm|@ m|mm
cm|m|@ cm|m
mm|m|@ mm|m
um|mm|@ micron|mm
in|mm|@ inch|mm
ft|m|@ ft|m
yd|m|@ yd|m
leather ounce|mm|@ inch/64|mm
m2|cm2|@ m^2|cm^2
cm2|m2|@ cm^2|m^2
in2|cm2|@ inch^2|cm^2
yd2|m2|@ yd^2|m^2
mm2|cm2|@ mm^2|cm^2
kg|g|@ kg|g
g|kg|@ g|kg
mg|g|@ mg|g
oz|g|@ oz|g
lb|g|@ lb|g
s|min|@ s|min
min|s|@ min|s
h|s|@ hour|s
day|s|@ day|s
week|s|@ week|s
month|s|@ gregorianyear/12|s
year|s|@ gregorianyear|s
K|°C|@ K|tempC
°C|K|tempC(@)|K
°F|°C|tempF(@)|tempC
1|%|@|0.01
%|1|@ percent|1
kg/m2|g/m2|@ kg/m^2|g/m^2
g/m2|kg/m2|@ gsm|kg/m^2
oz/yd2|g/m2|@ oz/yd^2|g/m^2
momme|g/m2|@ lb/(100 yd 45 inch)|g/m^2
sailmaker's ounce|g/m2|@ sailmakersounce|g/m^2
kg/m|tex|@ kg/m|tex
g/m|tex|@ g/m|tex
tex|g/m|@ tex|g/m
dtex|tex|@ drex|tex
denier|tex|@ denier|tex
Nm|tex|1/(@ metricyarncount)|tex
Ne|tex|1/(@ cottonyarncount)|tex
worsted count|tex|1/(@ worstedyarncount)|tex
linen lea|tex|1/(@ linenyarncount)|tex
woollen run|tex|1/(@ woolyarnrun)|tex
woollen cut|tex|1/(@ yarncut)|tex
woollen skein|tex|1/(@ 256 yd/lb)|tex
yards per pound|tex|1/(@ yd/lb)|tex
oz/yd|tex|@ oz/yd|tex
drams per 1000 yd|tex|@ manchesteryarnnumber|tex
lb per million yd|tex|@ poumar|tex
metric ticket|tex|3/(@ metricyarncount)|tex
cotton ticket|tex|3/(@ cottonyarncount)|tex
needle metric|mm|@ 0.01 mm|mm
stitches per inch|mm|1/(@ /inch)|mm
stitches per cm|mm|1/(@ /cm)|mm
stitches per 3 cm|mm|3 cm/@|mm
per m|per cm|@ /m|/cm
per cm|per m|@ /cm|/m
per inch|per m|@ /inch|/m
kg/m3|g/cm3|@ kg/m^3|g/cm^3
g/cm3|kg/m3|@ g/cm^3|kg/m^3
N|gf|@ N|gram force
cN|N|@ centinewton|N
kgf|N|@ kg force|N
gf|cN|@ gram force|centinewton
lbf|N|@ lbf|N
N/m|N/cm|@ N/m|N/cm
N/cm|N/m|@ N/cm|N/m
gf/cm|N/m|@ gram force/cm|N/m
lbf/in|N/m|@ lbf/inch|N/m
Pa|kPa|@ Pa|kPa
kPa|Pa|@ kPa|Pa
bar|kPa|@ bar|kPa
kgf/cm2|kPa|@ kg force/cm^2|kPa
N m|uN m|@ N m|micronewton m
uN m|N m|@ micronewton m|N m
mg cm|uN m|@ mg force cm|micronewton m
cN/tex|m2/s2|@ centinewton/tex|m^2/s^2
gf/tex|cN/tex|@ gram force/tex|centinewton/tex
m2/s2|cN/tex|@ m^2/s^2|centinewton/tex
m/s2|m/s2|@ m/s^2|m/s^2
iron dots|a ladder of the care code, no unit of measure
ell|m|@ ell|m
Flemish ell|m|@ flemishell|m
nail of cloth|mm|@ nail|mm
bolt of cotton|m|@ bolt|m
bolt of wool|m|@ woolbolt|m
lea of yarn|m|@ lea|m
cotton hank|m|@ 840 yd|m
worsted hank|m|@ 560 yd|m
cloth quarter|mm|@ span|mm
cubit|mm|@ 18 inch|mm
goad|m|@ goad|m
heer|m|@ heer|m
cotton skein|m|@ 120 yd|m
leather iron|mm|@ shoeiron|mm
mil|mm|@ mil|mm
m2 K/W|tog|@ m^2 K/W|tog
tog|clo|@ tog|clo
clo|tog|@ clo|tog
gf cm2/cm|mgf cm|@ gram force cm^2/cm|0.001 gram force cm
mgf cm|gf cm2/cm|@ 0.001 gram force cm|gram force cm^2/cm
needle number|a ladder of the trade, no unit of measure
END

close() { awk -v a="$1" -v b="$2" 'BEGIN { d = a - b; if (d < 0) d = -d; s = b < 0 ? -b : b; exit !(d <= 2e-6 * (s > 1e-9 ? s : 1)) }'; }

bodkin list units --json | jq -r '.items[].name' >"$tmp/ours"
while IFS= read -r unit; do
	row=$(awk -F'|' -v u="$unit" '$1 == u' "$table")
	[ -n "$row" ] || { fail "$unit" "no row for it in tests/units.sh"; continue; }
	into=$(echo "$row" | cut -d'|' -f2)
	from=$(echo "$row" | cut -d'|' -f3)
	gnu=$(echo "$row" | cut -d'|' -f4)
	[ -n "$gnu" ] || { pass "$unit: $into"; continue; }
	for n in 1 7 37.5; do
		written="$n $unit"
		[ "$unit" = 1 ] && written=$n
		ours=$(bodkin convert --json -- "$written" "$into" 2>"$tmp/err" | jq -r '.low // empty')
		theirs=$(units -t --output-format '%.12g' -- "$(echo "$from" | sed "s/@/$n/")" "$gnu" 2>/dev/null | head -n 1)
		if [ -n "$ours" ] && close "$ours" "$theirs"; then
			pass "$n $unit in $into"
		else
			fail "$n $unit in $into" "ours '$ours', GNU units '$theirs'" "$(head -n 2 "$tmp/err")"
		fi
	done
done <"$tmp/ours"
# A needle's two numbers, and the shelf-worn equivalences of counts.
for pair in "60 nm|8" "65 nm|9" "70 nm|10" "75 nm|11" "80 nm|12" "90 nm|14" "100 nm|16" "110 nm|18"; do
	got=$(bodkin convert "${pair%|*}" needle number --json | jq -r .low)
	if [ "$got" = "${pair#*|}" ]; then pass "needle $pair"; else fail "needle $pair" "$got"; fi
done
