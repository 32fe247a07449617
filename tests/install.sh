#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Installing and taking away again, the manual pages, and completion in shells:
# that what stands in the tables of commands and options is missing from none.

. tests/lib.sh

dest=$tmp/dest
prefix=/opt/wardrobe
put=$dest$prefix

# A copy of the build, so that the PREFIX of this one does not get into that.
mkdir "$tmp/build"
for part in obj print bodkin bodkin-print bodkin.db list prefix parts manual completion; do
	[ -e "$B/$part" ] && cp -Rp "$B/$part" "$tmp/build/"
done
make_it() { make -s B="$tmp/build" DESTDIR="$dest" PREFIX="$prefix" "$1" >"$tmp/log" 2>&1; }

# ---- put ----
mkdir -p "$put/share/man/man1"
echo kept >"$put/share/man/man1/of-another.1"
check "make install" make_it install
for f in bin/bodkin share/bodkin/bodkin.db share/man/man1/bodkin.1 \
    libexec/bodkin/bodkin-print share/man/man1/bodkin-print.1 \
    share/man/man5/bodkin-project.5 share/man/man5/bodkin-knowledge.5 \
    share/man/man5/bodkin-rules.5 share/bash-completion/completions/bodkin \
    share/zsh/site-functions/_bodkin share/fish/vendor_completions.d/bodkin.fish \
    share/doc/bodkin/README.md share/doc/bodkin/LICENSE \
    share/doc/bodkin/docs/project-format.md \
    share/doc/bodkin/examples/lock-keepers-coat.yaml; do
	check "installed: $f" test -s "$put/$f"
done
check "nothing is installed outside of PREFIX" test -z "$(find "$dest" -type f ! -path "$put/*")"
check "all may read what is installed" test -z "$(find "$put" -type f ! -perm -444)"

# ---- used from another folder ----
# from NAME COMMAND...: run in a folder that knows nothing of this one
from() {
	name=$1
	shift
	(cd "$tmp/elsewhere" && "$@" --width 80 --colour never) >"$tmp/out" 2>"$tmp/err" </dev/null
	status=$?
	expect "$name" 0
	says "$name: what it says" "fabric"
}
mkdir "$tmp/elsewhere" "$tmp/links"
ln -s "$put/bin/bodkin" "$tmp/links/bodkin"
from "the installed program by its path" "$put/bin/bodkin" show poplin
from "the installed program through a link" "$tmp/links/bodkin" show poplin
from "the installed program by its name" env PATH="$put/bin:$PATH" bodkin show poplin
from "the program where it was built" "$B/bodkin" show poplin
run "$put/bin/bodkin" show poplin -o "$tmp/elsewhere/poplin.pdf"
expect "the installed program makes PDF" 0
check "it is there" test -s "$tmp/elsewhere/poplin.pdf"
run "$put/bin/bodkin" check --brief "$put/share/doc/bodkin/examples/lock-keepers-coat.yaml"
expect "an installed example" 1

# ---- what the tables hold ----
sed -nE 's/^\t\{ \.name = "([a-z-]+)".*/\1/p' src/command/table.c >"$tmp/commands"
sed -nE "s/^\t\{ '.', (true|false), (true|false), \"([a-z-]+)\".*/\3/p" src/command/table.c >"$tmp/options"
check "the table has commands" test "$(wc -l <"$tmp/commands")" -ge 10
check "the table has options" test "$(wc -l <"$tmp/options")" -ge 15

bash_script=$put/share/bash-completion/completions/bodkin
zsh_script=$put/share/zsh/site-functions/_bodkin
fish_script=$put/share/fish/vendor_completions.d/bodkin.fish
page=$put/share/man/man1/bodkin.1

while read -r c; do "$put/bin/bodkin" help "$c"; done <"$tmp/commands" >"$tmp/help"
while read -r o; do
	check "help explains --$o" grep -qE -- "(^|[ ,])--$o( |\$)" "$tmp/help"
	check "the manual explains --$o" grep -qE -- "^\.It.* Fl \\\\-$o( |\$)" "$page"
	check "bash knows --$o" grep -qE -- " --$o( |\$)" "$bash_script"
	check "zsh knows --$o" grep -qE -- "'(\([^)]*\))?--$o=?\[" "$zsh_script"
	check "fish knows --$o" grep -qE -- "^complete .* -l $o " "$fish_script"
done <"$tmp/options"

# longs: the long options of what comes in, one a line
longs() { grep -oE -- '--[a-z-]+' | sort -u; }
while read -r c; do
	check "help lists $c" sh -c "'$put/bin/bodkin' help | grep -qE '^  $c( |\$)'"
	check "the manual has $c" grep -qE "^\.It Ic $c( |\$)" "$page"
	"$put/bin/bodkin" help "$c" | sed -n '/^Options/,$p' | grep -E '^  (-.,)?  *--' |
	    sed -E 's/^ *(-., )? *(--[a-z-]+).*/\2/' | longs >"$tmp/wanted"
	check "$c has options" test -s "$tmp/wanted"
	# The same options of each command, no more and no less.
	bash -c '. "$1"; _bodkin_options "$2"' - "$bash_script" "$c" | longs >"$tmp/bash"
	check "bash offers the options of $c" cmp -s "$tmp/wanted" "$tmp/bash"
	sed -n "/^	$c) specs=/,/^	) ;;/p" "$zsh_script" | sed -nE "s/^\t\t'(\([^)]*\))?(--[a-z-]+)=?\[.*/\2/p" |
	    sort -u >"$tmp/zsh"
	check "zsh offers the options of $c" cmp -s "$tmp/wanted" "$tmp/zsh"
	grep -E "^complete -c bodkin (-n '__bodkin_in $c' )?(-s . )?-l " "$fish_script" |
	    sed -E 's/.* -l ([a-z-]+) .*/--\1/' | sort -u >"$tmp/fish"
	check "fish offers the options of $c" cmp -s "$tmp/wanted" "$tmp/fish"
done <"$tmp/commands"

# ---- the manual pages ----
# Side by side, so that what one says of another is found.
mkdir "$tmp/pages"
cp "$put"/share/man/man*/bodkin* "$tmp/pages"
if command -v mandoc >/dev/null; then
	for p in "$tmp"/pages/*; do
		(cd "$tmp/pages" && mandoc -Tlint "${p##*/}") >"$tmp/lint" 2>&1
		if [ -s "$tmp/lint" ]; then fail "${p##*/} is clean" "$(head -n 5 "$tmp/lint")"
		else pass "${p##*/} is clean"; fi
	done
	mandoc -Tutf8 -O width=200 "$page" | sed 's/.\x08//g' >"$tmp/shown"
	check "the manual shows the examples that help gives" \
	    grep -qF -- "$("$put/bin/bodkin" help check | sed -n '/^Examples$/{n;s/^ *//;p;q;}')" "$tmp/shown"
else
	fail "mandoc is there to read the manual pages"
fi
# Every chapter of the guides that are shown as pages stands in one of them.
for guide in handouts project-format materials-list knowledge-format own-knowledge language sources; do
	grep '^## ' "docs/$guide.md" | sed 's/^## //' | while IFS= read -r chapter; do
		if grep -qxF "@$guide: $chapter@" docs/manual/*.mdoc; then pass "a page has $guide: $chapter"
		else fail "no page has $guide: $chapter" "give it a place in docs/manual: @$guide: $chapter@"; fi
	done
done
check "no place of a page was left empty" test -z "$(grep -lE '^@.*@$' "$tmp"/pages/*)"

# ---- completion asks the program ----
names() { "$put/bin/bodkin" help -d names "$@" >"$tmp/out" 2>"$tmp/err"; }
names entries -- wool fl
check "the rest of a name of several words" grep -qx flannel "$tmp/out"
names entries -- "wool fl"
check "a name of several words in one" grep -qx "wool flannel" "$tmp/out"
names entries -- ""
check "all names, each once" test "$(wc -l <"$tmp/out")" -gt 1000 -a -z "$(uniq -d "$tmp/out")"
names entries -- nosuchthing
check "no name is a status of its own" test $? -eq 1
names nonsense
check "no such sort of name" test $? -eq 2

# bash: the words of a line, the last one being typed; its answers in $tmp/out
cat >"$tmp/complete.bash" <<'END'
. "$1"; shift
COMP_WORDS=("$@") COMP_CWORD=$(($# - 1)) COMPREPLY=()
"$(complete -p bodkin | sed -E 's/.* -F ([^ ]+) .*/\1/')"
for name in "${COMPREPLY[@]}"; do printf '%s\n' "$name"; done
END
# offers NAME ANSWER WORD...: bash offers that answer, to what is typed after the program's name
offers() {
	name=$1 answer=$2
	shift 2
	bash "$tmp/complete.bash" "$bash_script" "$put/bin/bodkin" "$@" >"$tmp/out" 2>"$tmp/err"
	if [ ! -s "$tmp/err" ] && grep -qxF -- "$answer" "$tmp/out"; then pass "bash: $name"; else
		fail "bash: $name" "expected $answer" "$(head -n 5 "$tmp/out" "$tmp/err")"; fi
}
alone() { check "bash: $1, and nothing else" test "$(wc -l <"$tmp/out")" -eq 1; }
offers "a command" check ch
alone "a command"
offers "a command after an option" show --ascii sh
offers "an option" --setting check --se
alone "an option"
offers "an option everywhere" --json show poplin --js
offers "a setting" needle.size check --setting need
offers "a setting after =" needle.size check --setting = need
offers "a kind" fabrics show -t fab
offers "one of the words of an option" never check --colour n
offers "a stage" tokens check -d to
offers "a stage after a comma" tokens,model check -d tokens,mo
offers "a name" poplin show pop
offers "the rest of a name" 'flannel\ suiting' show wool fl
offers "a name in quotes" 'wool flannel' show '"wool fl'
offers "a name with an apostrophe" "bird\\'s\\ nest\\ below" show bird
offers "a rule" thread-crowds-the-eye why thread-c
offers "a rule after a part of the audit" thread-crowds-the-eye audit pins thread-c
offers "a part of the audit" pins audit pin
offers "a formula" yarn-diameter work-out yarn-d
offers "a figure of it" density= work-out yarn-diameter size = 30 d
offers "a command to be helped with" work-out help wo
offers "a file" README.md check READ
offers "names of the database told" poplin --kb "$put/share/bodkin/bodkin.db" show pop
bash "$tmp/complete.bash" "$bash_script" "$put/bin/bodkin" --kb "$tmp/none" show pop >"$tmp/out" 2>&1
check "bash: without a database no names and no noise" test ! -s "$tmp/out"
bash "$tmp/complete.bash" "$bash_script" "$put/bin/bodkin" check --words "" >"$tmp/out" 2>&1
check "bash: nothing where free words stand" test ! -s "$tmp/out"
bodkin list --json | jq -r '(.kinds // .items)[].name' >"$tmp/kinds"
check "there are kinds" test -s "$tmp/kinds"
bash "$tmp/complete.bash" "$bash_script" "$put/bin/bodkin" list "" | sed 's/\\//g' | sort >"$tmp/out"
check "bash: all that can be listed" test "$(sort "$tmp/kinds")" = "$(cat "$tmp/out")"

# The other shells where there are any.
if command -v zsh >/dev/null; then
	check "zsh reads its script" zsh -n "$zsh_script"
	# The functions that ask the program, with what the line editor gives them
	# set by hand: PREFIX, and the arguments before it in words.
	cat >"$tmp/complete.zsh" <<-'END'
	source <(sed '$d' $1)
	compadd() { [[ $1 == -a ]] && shift || shift 3; print -rl -- "${(P@)1}" }
	bodkin_program=($2) bodkin_kb=()
	function=$3 what=$4
	shift 4
	words=("$@") CURRENT=$# PREFIX=${@[-1]}
	$function $what extra
	END
	# zsh_offers NAME ANSWER FUNCTION WHAT WORD...
	zsh_offers() {
		name=$1 answer=$2
		shift 2
		zsh -f "$tmp/complete.zsh" "$zsh_script" "$put/bin/bodkin" "$@" >"$tmp/out" 2>"$tmp/err"
		if [ ! -s "$tmp/err" ] && grep -qxF -- "$answer" "$tmp/out"; then pass "zsh: $name"; else
			fail "zsh: $name" "expected $answer" "$(head -n 5 "$tmp/out" "$tmp/err")"; fi
	}
	zsh_offers "a name" "wool flannel" _bodkin_names entries wool
	zsh_offers "the rest of a name" flannel _bodkin_names entries wool fl
	zsh_offers "the rest of a name begun with a backslash" below \
	    _bodkin_names entries "bird\\'s nest" be
	zsh_offers "a setting after an option" needle.size _bodkin_value settings poplin needle.s
	zsh_offers "a figure of a formula" density= _bodkin_names formulas yarn-diameter d
	zsh_offers "a word of the command's own" extra _bodkin_names rules thread-c
else
	echo "note: no zsh here, its script was not read"
fi
if command -v fish >/dev/null; then
	check "fish reads its script" fish -n "$fish_script"
	# fish_offers NAME ANSWER LINE
	fish_offers() {
		HOME=$tmp PATH=$put/bin:$PATH fish --no-config -c "source $fish_script; complete -C '$3'" \
		    2>&1 | cut -f 1 >"$tmp/out"
		if grep -qxF -- "$2" "$tmp/out"; then pass "fish: $1"; else
			fail "fish: $1" "expected $2" "$(head -n 5 "$tmp/out")"; fi
	}
	fish_offers "a command" check "bodkin ch"
	fish_offers "the rest of a name" flannel "bodkin show wool fl"
	fish_offers "a setting" needle.size "bodkin check --setting need"
	fish_offers "an option of the command" --setting "bodkin check --se"
	fish_offers "a figure of a formula" density= "bodkin work-out yarn-diameter d"
else
	echo "note: no fish here, its script was not read"
fi

# ---- taken away ----
check "make uninstall" make_it uninstall
check "uninstall leaves no file but those of others" \
    test "$(find "$dest" ! -type d)" = "$put/share/man/man1/of-another.1"
check "uninstall leaves no folder of its own" test -z "$(find "$dest" -type d -name '*bodkin*')"
find "$put" -type d | sed "s,^$put/*,,; /^\$/d" | sort | tr '\n' ' ' >"$tmp/left"
check "uninstall leaves no other empty folder" test "$(cat "$tmp/left")" = "bin share share/doc share/man share/man/man1 "
check "uninstall once more does no harm" make_it uninstall
