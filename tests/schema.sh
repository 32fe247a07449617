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
ask order --seams --words "linen skirt with a zip and a waistband"
ask order --instructions --country us --words "linen skirt with a zip and a waistband"
ask trouble skips every few inches --with "jersey, 90/14 universal needle"
ask trouble loops underneath --tried "new needle, threaded again, blew the horn"
ask trouble zzyzx
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
        and ("setting" in answer) == ("setting" in v["properties"])), None)
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
