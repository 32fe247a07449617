# SPDX-License-Identifier: GPL-3.0-or-later
#
# The chapters of docs/*.md as parts in mdoc, for the manual pages:
#
#   LC_ALL=C awk -f parts.awk docs/language.md ...
#
# A part is called FILE for what stands before the first "## ", and FILE: CHAPTER
# for each chapter. Of Markdown it knows what those files use: paragraphs, lists,
# tables, code in fences, and code, emphasis and links within a line.

function escape(s) {
	gsub(/\\/, "\\e", s)
	return s
}

# Strong, emphasis, code and links. What stands in `code` is not looked into.
function inline(s,    out, i, c, code, bold, close_at) {
	out = ""
	for (i = 1; i <= length(s); i++) {
		c = substr(s, i, 1)
		if (c == "`") {
			code = !code
			out = out (code ? "\\fB" : "\\fP")
		} else if (c == "\\" && !code && substr(s, i + 1, 1) ~ /[|*_`]/) {
			out = out substr(s, ++i, 1)
		} else if (c == "\\" && code && substr(s, i + 1, 1) == "|") {
			out = out substr(s, ++i, 1)
		} else if (c == "\\") {
			out = out "\\e"
		} else if (c == "-" && code) {
			out = out "\\-"
		} else if (!code && substr(s, i, 2) == "**") {
			bold = !bold
			out = out (bold ? "\\fB" : "\\fP")
			i++
		} else if (!code && c == "*" && (italic || substr(s, i + 1, 1) ~ /[^ ]/)) {
			italic = !italic
			out = out (italic ? "\\fI" : "\\fP")
		} else if (!code && c == "[" && match(substr(s, i), /^\[[^]]*\]\([^)]*\)/)) {
			close_at = index(substr(s, i), "]")
			out = out inline(substr(s, i + 1, close_at - 2))
			i += RLENGTH - 1
		} else {
			out = out c
		}
	}
	return out
}

# Running text: short lines, a new one after each sentence.
function prose(s,    n, w, i, line, end) {
	italic = 0
	n = split(inline(s), w, /[ \t]+/)
	line = ""
	for (i = 1; i <= n; i++) {
		if (w[i] == "")
			continue
		if (line != "" && (end || wide(line) + 1 + wide(w[i]) > 76)) {
			print guard(line)
			line = ""
		}
		line = line (line == "" ? "" : " ") w[i]
		end = w[i] ~ /[.!?]\)?$/
	}
	if (line != "")
		print guard(line)
}
# A letter beyond ASCII is up to eight bytes once the formatter has it.
function wide(s) { return length(s) + 4 * gsub(/[\200-\377]/, "&", s) }
function guard(s) { return s ~ /^[.']/ ? "\\&" s : s }

function flush(    s) {
	s = held
	held = ""
	if (s == "")
		return
	if (kind == "item") {
		print ".It"
	} else if (paragraphs++ > 0) {
		print ".Pp"
	}
	prose(s)
}
function end_list() {
	flush()
	if (list)
		print ".El"
	list = 0
	kind = ""
}
function end_table() {
	if (rows > 1)
		print ".El"
	rows = 0
}
function heading(s) {
	end_list()
	end_table()
	print ".Ss " inline(s)
	paragraphs = 0
}

# A row: its first cell is the term; where there are several more, each is told
# by its column.
function row(s,    n, cell, i, said) {
	sub(/^\| */, "", s)
	sub(/ *\| *$/, "", s)
	gsub(/\\\|/, "\001", s)
	n = split(s, cell, / *\| */)
	for (i = 1; i <= n; i++)
		gsub(/\001/, "|", cell[i])
	if (++rows == 1) {
		for (i = 1; i <= n; i++)
			column[i] = cell[i]
		return
	}
	if (rows == 2)
		return
	if (rows == 3)
		print ".Bl -tag -width Ds"
	said = ""
	for (i = 2; i <= n; i++)
		if (cell[i] != "")
			said = said (said == "" ? "" : "; ") \
			    (n > 2 && i < n ? column[i] ": " : "") cell[i]
	italic = 0
	print ".It Xo"
	print guard(inline(cell[1]))
	print ".Xc"
	prose(said)
}

FNR == 1 {
	end_list()
	end_table()
	name = FILENAME
	sub(/.*\//, "", name)
	sub(/\.md$/, "", name)
	print "@" name "@"
	paragraphs = 0
	next                                   # the title
}
/^```/ {
	if (fence) {
		print ".Ed"
	} else {
		end_list()
		end_table()
		print ".Bd -literal"
	}
	fence = !fence
	paragraphs = 1
	next
}
fence { print guard(escape($0)); next }
/^## / {
	end_list()
	end_table()
	print "@" name ": " substr($0, 4) "@"
	heading(substr($0, 4))
	next
}
/^###+ / { sub(/^#+ /, ""); heading($0); next }
/^\|/ {
	end_list()
	row($0)
	paragraphs = 1
	next
}
rows > 0 { end_table() }
/^ *$/ {
	flush()
	if (!list)
		kind = ""
	blank = 1
	next
}
/^[-*] / {
	flush()
	if (!list)
		print ".Bl -bullet"
	list = 1
	kind = "item"
	paragraphs = 1
	held = substr($0, 3)
	blank = 0
	next
}
list && /^[^ ]/ && blank { end_list() }
{
	sub(/^ +/, "")
	held = held (held == "" ? "" : " ") $0
	if (kind == "")
		kind = "text"
	blank = 0
}
END { end_list(); end_table() }
