# SPDX-License-Identifier: GPL-3.0-or-later
#
# Puts parts into a page: awk -f fill.awk PARTS ... PAGE
#
# A line @NAME@ begins the part NAME in a file of parts; in the page, which comes
# last, it is the place where that part goes. A place without its part is an error.

function marked() { return /^@[^@]+@$/ }

FNR == 1 { file++; part = "" }
file < ARGC - 1 && marked() { part = $0; there[part] = 1; next }
file < ARGC - 1 { if (part != "") text[part] = text[part] $0 "\n"; next }
marked() {
	if (!($0 in there)) {
		print FILENAME ":" FNR ": there is no part " $0 > "/dev/stderr"
		failed = 1
	}
	printf "%s", text[$0]
	next
}
{ print }
END { exit failed }
