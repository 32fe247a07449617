#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# The user's own knowledge: begun, laid over the shipped, marked, refused with
# its place, and unable to silence anything. Folders of its own stand for the
# user's, so that nobody's settings are touched.

. tests/lib.sh
unset BODKIN_OWN
export XDG_CONFIG_HOME="$tmp/config" XDG_CACHE_HOME="$tmp/cache"
unset KB
own=$tmp/config/bodkin
holds() { jq -e "$1" "$tmp/out" >/dev/null; }
lacks() { ! grep -qF -- "$1" "$tmp/out" "$tmp/err"; }
# own_file NAME: from standard input
own_file() { mkdir -p "$own"; cat >"$own/$1"; }

# ---- a beginner's way ----
run bodkin own
expect "nothing yet" 0
says "the folder is named" "$own"
says "and how to begin" "bodkin own start"
run bodkin own start
expect "an example is written" 0
check "it is there" test -s "$own/example.yaml"
run bodkin own
expect "an example of remarks alone" 0
says "it holds only remarks" "only remarks"
echo "# mine" >"$own/example.yaml"
run bodkin own start
expect "a second start" 0
check "what was there is as it was" test "$(cat "$own/example.yaml")" = "# mine"
run bodkin own stop
expect "no such word" 2
mv "$own/example.yaml" "$tmp/mine"
bodkin own start >/dev/null
sed -E 's/^# //' "$own/example.yaml" >"$tmp/uncommented"
cp "$tmp/uncommented" "$own/example.yaml"
run bodkin own --json
expect "the example without its marks is sound" 0
check "it says so" holds '.sound and (.items | length) == 3 and .advice == []'
check "a refinement is told from a new entry" \
    holds '[.items[] | select(.refines) | .name] == ["cotton poplin"]'

# ---- marked wherever it is seen ----
run bodkin show "lock canvas"
expect "an entry of one's own" 0
says "show: where it stands" "Your own entry: $own/example.yaml:"
check "show: its value rests on its owner" grep -qE '^ *weight +410 g/m2 .*your own' "$tmp/out"
check "show: what it is like lends the rest, with its basis" \
    grep -qE '^ *drape +stiff .*common practice' "$tmp/out"
run bodkin show "top shelf canvas"
expect "by its other name" 0
run bodkin show "cotton poplin"
says "show: a refined entry" "The shipped entry, with what you say of it"
says "show: a text that was added" "note (your own)"
check "show: the value of one's own" grep -qE '^ *width +112 cm .*your own' "$tmp/out"
run bodkin show "cotton poplin" --json
check "JSON: refined" holds '.entries[0].own == "refined"'
run bodkin list fabrics
says "list" "lock-keeper's coat. (your own)"
run bodkin find grey canvas top shelf
says "find" "lock-keeper's coat. (your own)"
run bodkin list rules --json
check "JSON: a rule" holds '[.items[] | select(.own) | .name] == ["our-heavy-cloth-needle"]'
run bodkin why our-heavy-cloth-needle
expect "why" 0
says "why: whose it is" "Your own rule: $own/example.yaml:"
run bodkin check --words "bag in lock canvas, 90/14 needle"
says "check: understood" "lock canvas (your own)"
says "check: the rule" "our-heavy-cloth-needle (your own)"
says "check: what the reason rests on" "typical of lock canvas, your own"
run bodkin check --brief --words "bag in lock canvas, 90/14 needle"
says "brief" "[our-heavy-cloth-needle (your own)]"
run bodkin check --json --words "bag in lock canvas, 90/14 needle"
check "JSON: the finding" holds '[.findings[] | select(.rule == "our-heavy-cloth-needle") | .own] == [true]'
run bodkin suit --all --words "gathered skirt"
says "suit" "lock canvas (your own)"
echo '{"words":"bag in lock canvas, 90/14 needle"}' >"$tmp/lines"
run bodkin batch --jobs 2 "$tmp/lines"
check "batch, in its workers" holds '[.findings[] | select(.own)] | length == 1'
run bodkin --without-own show "lock canvas"
expect "left out when asked" 1
BODKIN_OWN='' run bodkin show "lock canvas"
expect "left out by an empty BODKIN_OWN" 1
run bodkin --kb "$B/bodkin.db" show "lock canvas"
expect "a database that is named is taken as it is" 1
run bodkin audit examples our-heavy-cloth-needle
expect "the audit is about the shipped knowledge" 2

# ---- kept, and made anew when something changed ----
kept() { ls "$tmp/cache/bodkin"; }
check "one file is kept" test "$(kept | wc -l)" -eq 1
inode() { ls -i "$tmp/cache/bodkin"/own-*.db; }
before=$(inode)
bodkin show poplin >/dev/null
check "nothing changed: nothing made" test "$before" = "$(inode)"
sed 's/410 g/420 g/' "$tmp/uncommented" >"$own/example.yaml"
run bodkin show "lock canvas"
says "a change is seen" "420 g/m2"
check "and still one file is kept" test "$(kept | wc -l)" -eq 1
for f in "$tmp/cache/bodkin"/own-*.db; do head -c 5000 "$f" >"$tmp/short"; cat "$tmp/short" >"$f"; done
run bodkin show "lock canvas"
expect "what is kept may be damaged" 0
XDG_CACHE_HOME=/dev/null run bodkin show "lock canvas"
expect "nowhere to keep it" 0
says "it says so" "read anew at every start"
mkdir -p "$own/shelves/threads"
own_file shelves/threads/more.yml <<'END'
threads:
  - thread: grey quay thread
    like: spun polyester thread
    says: The grey cones by the window.
END
run bodkin show "grey quay thread"
expect "folders below are read" 0

# ---- faults: told with their place, the rest goes on ----
faulty() { # NAME TEXT: the file on standard input
	own_file fault.yaml
	run bodkin show poplin
	expect "$1: other commands go on" 0
	says "$1: what is wrong" "$2"
	says "$1: and where" "$own/fault.yaml:"
	run bodkin own
	expect "$1: own ends with 2" 2
	: >"$own/fault.yaml"
}
faulty "a property with a slip" "did you mean weight" <<'END'
fabrics:
  - fabric: quay cloth
    says: A cloth.
    values:
      wieght: 200 g/m2
END
faulty "a unit of something else" "40 °C" <<'END'
fabrics:
  - fabric: quay cloth
    says: A cloth.
    values:
      weight: 40 °C
END
faulty "like nothing there is" "did you mean canvas" <<'END'
fabrics:
  - fabric: quay cloth
    like: canvsa
    says: A cloth.
END
faulty "like another kind" "is not of the kind thread" <<'END'
threads:
  - thread: quay thread
    like: canvas
    says: A thread.
END
faulty "no YAML" "yaml" <<'END'
fabrics: [
END
faulty "a rule without an example" "example" <<'END'
rules:
  - id: our-rule
    area: needle and thread
    each: operation
    must: operation.sewn = yes
    degree: mention
    touches: [needle.size]
    say: "x"
    why: x
    source: own
    examples: []
END

# ---- nothing shipped is silenced ----
faulty "words of the reader" "the same for everybody" <<'END'
phrases:
  - words: [nightdress]
    denies: next
END
faulty "messages" "the same for everybody" <<'END'
messages:
  - id: check.cautions
    says: "Never mind"
END
faulty "a name that is read already" "would be read otherwise" <<'END'
fabrics:
  - fabric: quay cloth
    also: [lining]
    says: A cloth.
END
faulty "a rule by the name of a shipped one" "thread-crowds-the-eye" <<'END'
rules:
  - id: thread-crowds-the-eye
    area: needle and thread
    each: operation
    must: operation.sewn = yes
    degree: mention
    touches: [needle.size]
    say: "fine"
    why: x
    source: own
    examples:
      - fires: "denim apron"
      - quiet: "denim apron, 90/14 needle"
END
faulty "what a shipped entry brings" "has no key brings" <<'END'
fabrics:
  - fabric: gingham
    brings:
      - content: polyester
        share: 100 %
END
hazard=$(bodkin --without-own list hazards --json | jq -r '.items[0].name')
bodkin --without-own show "$hazard" --kind hazard --json | jq -c '.entries[0].says, .entries[0].texts' >"$tmp/shipped"
own_file fault.yaml <<END
hazards:
  - hazard: $hazard
    says: Nothing to fear.
    caution: None.
    law: None.
END
run bodkin show "$hazard" --kind hazard --json
expect "a hazard with texts of one's own" 0
jq -c '.entries[0].says, [.entries[0].texts[] | select(.own | not)]' "$tmp/out" >"$tmp/now"
check "what is shipped of it stands there unchanged" cmp -s "$tmp/shipped" "$tmp/now"
check "and what was added is marked" holds '[.entries[0].texts[] | select(.own)] | length == 3'
: >"$own/fault.yaml"
words="nightdress for a child of 4 in brushed cotton, with a cord at the neck"
bodkin --without-own check --json --words "$words" | jq -r '.findings[].rule' | sort >"$tmp/shipped"
check "the shipped rules have something to say here" test -s "$tmp/shipped"
own_file fault.yaml <<'END'
advice:
  - id: our-iron
    area: pressing
    setting: press.heat
    take: at least 200 °C
    start: 200 °C
    strength: firm
    why: We like it hot.
    source: own
    examples:
      - for: "denim apron"
        gives: 200 °C
END
run bodkin own
expect "advice of one's own" 0
bodkin check --json --words "$words" | jq -r '.findings[] | select(.own | not) | .rule' | sort >"$tmp/now"
check "every shipped finding is still there" test -z "$(comm -23 "$tmp/shipped" "$tmp/now")"
