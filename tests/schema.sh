#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Every JSON answer against docs/report.schema.json: the golden ones, and one
# of each command made now.  Keys that the schema does not name fail as well.

. tests/lib.sh
small_kb || exit 1
mkdir "$tmp/json"
for g in tests/cases/*/*.out_json; do
	[ -f "$g" ] && cp "$g" "$tmp/json/$(echo "$g" | tr / _)"
done
n=0
ask() { n=$((n + 1)); bodkin "$@" --json >"$tmp/json/live-$n-$1" 2>/dev/null; }
ask check --words "unlined jacket in light cotton poplin with two boxed patch pockets, 90/14 needle"
ask check --words "silk chiffon blouse, no zip, frobnicated"
ask check --words "denim apron" --setting needle.size
ask check --words "denim apron" --setting buttonhole.length
ask check --words "gathered skirt" --setting fabric.suits
ask check tests/cases/check/lock-keepers-coat.yaml
ask show poplin
ask show none-such
ask find slippery lining
ask find what needle for silk chiffon
ask find zzyzx
ask list
ask list fabrics
ask list rules
ask convert "30 Ne" tex
ask work-out yarn-diameter "size=30 tex" density=1.38 packing=0.6
ask work-out yarn-diameter "size=30 tex" density=1.38 packing=0.1
ask why "$(bodkin list rules --json | jq -r '.items[0].name')"
ask why "$(bodkin list advice --json | jq -r '.items[0].name')"
ask suit --words "gathered skirt"
ask suit --words "stiff canvas of 300 g/m2"
ask why fused-before-joined
ask order --words "cotton poplin shirt"
ask order tests/cases/check/lock-keepers-coat.yaml
ask order --words "mist"
ask proof tests/sheets/sound-skirt.txt
ask proof tests/sheets/slips-coat.md
ask order --seams --words "linen skirt with a zip and a waistband"
ask order --instructions --country us --words "linen skirt with a zip and a waistband"
ask amounts --for 12 --words "cotton poplin shirt with a collar, woven fusible, 1 m of cotton poplin 110 cm wide"
ask amounts --words "1.5 m of cotton poplin 140 cm wide"
ask amounts --words "mist"
ask estimate --words "wool coating coat, viscose twill lining"
ask trouble skips every few inches --with "jersey, 90/14 universal needle"
ask trouble loops underneath --tried "new needle, threaded again, blew the horn"
ask trouble zzyzx
ask handout --cloths "cotton poplin, velvet" --words "patch pocket, knife pleats" --blank needle
ask handout --cloths denim --sheet "fusing card"
ask version
mkdir "$tmp/mine"
export BODKIN_OWN="$tmp/mine" XDG_CACHE_HOME="$tmp/cache"
bodkin own start >/dev/null
sed -i -E 's/^# //' "$tmp/mine/example.yaml"
ask own
ask show "lock canvas"
ask show "cotton poplin"
ask find grey canvas
ask list fabrics
ask list rules
ask why our-heavy-cloth-needle
ask check --words "bag in lock canvas, 90/14 needle"
ask suit --words "canvas bag"
export BODKIN_OWN=
KB=$small
ask check tests/cases/small/sailcloth-coat.yaml
ask check --words "mist cloak"

/usr/bin/python3 - docs/report.schema.json "$tmp"/json/* <<'END'
import json, sys
import jsonschema

def strict(s):
    """The schema with every key it does not name forbidden."""
    if isinstance(s, dict):
        s = {k: strict(v) for k, v in s.items()}
        if s.get("type") == "object" and "properties" in s:
            s["additionalProperties"] = False
        return s
    return [strict(x) for x in s] if isinstance(s, list) else s

schema = strict(json.load(open(sys.argv[1])))
jsonschema.Draft202012Validator.check_schema(schema)
for path in sys.argv[2:]:
    name = "json " + path.rsplit("/", 1)[1]
    try:
        answer = json.load(open(path))
    except ValueError as e:
        print("FAIL", name, "\n    not JSON:", e)
        continue
    shape = next((k for k, v in schema["$defs"].items()
        if v.get("properties", {}).get("command", {}).get("const") == answer.get("command")
        and all((key in answer) == (key in v["properties"])
            for key in ("setting", "seams", "instructions"))), None)
    if shape is None:
        print("FAIL", name, "\n    no shape for command", answer.get("command"))
        continue
    one = dict(schema["$defs"][shape], **{"$defs": schema["$defs"]})
    errors = list(jsonschema.Draft202012Validator(one).iter_errors(answer))
    print("FAIL" if errors else "pass", name)
    for e in errors[:3]:
        print("    ", "/".join(map(str, e.absolute_path)) + ":", e.message[:200])
# The check must be able to fail.
bad = dict(schema["$defs"]["version"], **{"$defs": schema["$defs"]})
wrong = {"schema": "bodkin.report/1", "tool_version": "0", "kb_version": None, "command": "version", "x": 1}
print("pass" if not jsonschema.Draft202012Validator(bad).is_valid(wrong) else "FAIL", "an unnamed key is noticed")
END

# ---- the schema of project files ------------------------------------------------
# It must take whatever the reader takes, and refuse what it refuses; so every
# file here is read by both.
KB=
mkdir "$tmp/good" "$tmp/bad"
cp tests/cases/check/*.yaml "$tmp/good"
sed -n '/^```yaml$/,/^```$/p' docs/project-format.md | sed '/^```/d; /^# yaml-language-server/,$d' >"$tmp/good/guide.yaml"
jq -c 'select(.project) | .project' tests/cases/batch/projects.jsonl 2>/dev/null |
    while IFS= read -r line; do n=$((${n:-0} + 1)); echo "$line" >"$tmp/good/batch-$n.yaml"; done
# Descriptions the rules are proved by, as the files they become.
bodkin list rules --json | jq -r '.items[].name' | awk 'NR % 8 == 0' | while IFS= read -r rule; do
	bodkin why "$rule" --json | jq -r '.rule.examples[0].words // empty'
done | while IFS= read -r words; do
	n=$((${n:-0} + 1))
	bodkin check --words "$words" -d project >"$tmp/good/words-$n.yaml" 2>/dev/null
	[ -s "$tmp/good/words-$n.yaml" ] || rm -f "$tmp/good/words-$n.yaml"
done
wrong() { cat >"$tmp/bad/$1.yaml"; }
wrong key <<'END'
garment: coat
materails: [{shell: denim}]
END
wrong property <<'END'
materials:
  - shell: denim
    wieght: 300 g/m2
END
wrong role <<'END'
materials:
  - shel: denim
END
wrong name <<'END'
materials:
  - shell: demin
END
wrong garment <<'END'
garment: barge
END
wrong unit <<'END'
materials:
  - shell: denim
    weight: 300 km
END
wrong number <<'END'
materials:
  - shell: denim
    weight: soon
END
wrong word <<'END'
garment: coat
lined: perhaps
END
wrong feature <<'END'
features:
  - boxed pach pocket
END
wrong detail <<'END'
features:
  - feature: patch pocket
    colour: red
END
wrong inner <<'END'
features:
  - patch pocket: {depht: 3 cm}
END
wrong setting <<'END'
settings:
  - needle.sise: 90/14
END
wrong shape <<'END'
materials: denim
END
wrong measured <<'END'
measured:
  - weight
END
wrong count <<'END'
features:
  - feature: buttonhole
    count: seven
END
for f in "$tmp"/good/*; do
	run bodkin check "$f" --brief
	[ "$status" -le 1 ] || fail "the reader takes $(basename "$f")" "$(head -n 3 "$tmp/err")"
done
for f in "$tmp"/bad/*; do
	run bodkin check "$f" --brief
	expect "the reader refuses $(basename "$f")" 2
done
small_kb && "$B/bodkin" --kb "$small" help -d schema >"$tmp/small.schema.json"
/usr/bin/python3 - "$B/project.schema.json" "$tmp/small.schema.json" "$tmp" <<'END'
import glob, json, os, sys
import jsonschema, yaml

def once(pairs):
    keys = [k for k, _ in pairs]
    assert len(keys) == len(set(keys)), "a key stands twice"
    return dict(pairs)

def validator(path):
    schema = json.load(open(path), object_pairs_hook=once)
    jsonschema.Draft7Validator.check_schema(schema)
    return jsonschema.Draft7Validator(schema)

def tell(fine, what, errors=()):
    print("pass" if fine else "FAIL", what)
    for e in [] if fine else errors:
        print("    ", "/".join(map(str, e.absolute_path)) + ":", e.message[:150])

v, small = validator(sys.argv[1]), validator(sys.argv[2])
good = sorted(glob.glob(sys.argv[3] + "/good/*"))
tell(len(good) > 30, "there are project files to try: %d" % len(good))
# Editors tell numbers and truths from texts, or do not: both must do.
for loader in yaml.SafeLoader, yaml.BaseLoader:
    for path in good:
        errors = list(v.iter_errors(yaml.load(open(path), Loader=loader)))
        tell(not errors, "schema takes %s" % os.path.basename(path), errors)
    for path in sorted(glob.glob(sys.argv[3] + "/bad/*")):
        errors = list(v.iter_errors(yaml.load(open(path), Loader=loader)))
        tell(errors, "schema refuses %s" % os.path.basename(path))
for name in "sailcloth-coat", "mist-cloak":
    errors = list(small.iter_errors(yaml.safe_load(open("tests/cases/small/%s.yaml" % name))))
    tell(not errors, "another knowledge, another schema: " + name, errors)
END
