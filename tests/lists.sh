#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
#
# Lists of materials as programs write them, and the checked copy: whatever the
# separator, the encoding and the quoting, the same things are found, and every
# cell of the copy is the one that was there. Files of tests/lists were written
# by the programs their names tell (how: tests/lists/README); the others are
# made here, by Python's csv module and by sqlite3.

. tests/lib.sh

/usr/bin/python3 - "$B/bodkin" "$B/bodkin.db" "$tmp" <<'END'
import csv, glob, io, json, os, subprocess, sys

program, kb, tmp = sys.argv[1:]
failed = []

def tell(fine, what, why=""):
    print("pass" if fine else "FAIL", what)
    if not fine and why:
        print("    " + str(why)[:300])

def bodkin(*args):
    return subprocess.run([program, "--kb", kb, "--width", "80"] + list(args), capture_output=True)

rows = [
    ["Costumes for the canal play"],
    ["Style", "Component", "Description", "Composition", "Weight", "Care", "Needle"],
    ["Lock-keeper's coat", "shell", "wool melton, grey", "100% wool", "480 g/m²", "dry clean only", ""],
    ["Lock-keeper's coat", "lining", 'viscose "twill" lining', "100% viscose", "110 g/m²", "wash 40", ""],
    [],
    ["Lock-keeper's coat", "thread", "polyester thread", "", "tex 27", "wash 60", "70/10"],
    ["Bargee's apron", "shell", "denim", "98% cotton 2% elastane", "12 oz/yd²", "wash 60"],
]

def written(delimiter=",", quoting=csv.QUOTE_MINIMAL, end="\r\n"):
    f = io.StringIO(newline="")
    csv.writer(f, delimiter=delimiter, quoting=quoting, lineterminator=end).writerows(rows)
    return f.getvalue()

forms = {
    "comma, UTF-8": (written().encode(), "utf-8", ","),
    "semicolon, UTF-8 with its mark": (written(";").encode("utf-8-sig"), "utf-8-sig", ";"),
    "tab, UTF-16 little end first": (written("\t", end="\n").encode("utf-16"), "utf-16", "\t"),
    "semicolon, UTF-16 big end first": (b"\xfe\xff" + written(";").encode("utf-16-be"), "utf-16", ";"),
    "comma, all quoted, Windows-1252": (written(quoting=csv.QUOTE_ALL).encode("cp1252"), "cp1252", ","),
    "a line sep=;": (b"sep=;\r\n" + written(";").encode("cp1252"), "cp1252", ";"),
    "no end of the last line": (written(end="\n").rstrip("\n").encode(), "utf-8", ","),
}

def found(path):
    r = bodkin("check", "--json", path)
    return [sorted((f["rule"], f["degree"], f["verdict"]) for f in json.loads(line)["findings"])
            for line in r.stdout.decode().splitlines()]

def copied(name, path, encoding, delimiter):
    copy = path + "-checked.csv"
    before = open(path, "rb").read()
    r = bodkin("check", "--brief", path, "--copy", copy)
    if r.returncode > 1 or not os.path.exists(copy):
        return tell(False, "%s: a copy is written" % name, r.stderr.decode())
    after = open(copy, "rb").read()
    tell(open(path, "rb").read() == before, "%s: the list is as it was" % name)
    old = before.decode(encoding).splitlines(keepends=True)
    new = after.decode(encoding).splitlines(keepends=True)
    # As text: each line begins with the old line, whatever was put in before its end.
    tell(len(old) == len(new) and all(n.startswith(o.rstrip("\r\n")) and
         n[len(n.rstrip("\r\n")):] == o[len(o.rstrip("\r\n")):] for o, n in zip(old, new)),
         "%s: nothing of the list is changed" % name)
    cells = [r for r in csv.reader(io.StringIO(after.decode(encoding), newline=""), delimiter=delimiter)]
    head = next(i for i, r in enumerate(cells) if r and r[-1] == "bodkin rule")
    wide = len(cells[head])
    tell(all(len(r) == wide for r in cells[head:] if r), "%s: all rows have as many cells" % name)
    told = sorted(x for r in cells[head + 1:] if r for x in r[-1].split(" | ") if x)
    lines = r.stdout.decode().splitlines()
    tell(len(told) == len(lines) and all(("[%s]" % x) in r.stdout.decode() for x in told),
         "%s: each finding stands in it once" % name, (told, lines))
    return cells, head

first = None
for name, (data, encoding, delimiter) in forms.items():
    path = os.path.join(tmp, name.split(",")[0].replace(" ", "-") + str(len(name)) + ".csv")
    open(path, "wb").write(data)
    got = found(path)
    first = first or got
    tell(got == first and len(got) == 2 and got[0], "%s: the same is found" % name, got)
    result = copied(name, path, encoding, delimiter)
    if result:
        cells, head = result
        thread = next(r for r in cells if len(r) > 1 and r[1] == "thread")
        tell("needle-bends-in-the-cloth" in thread[-1], "%s: beside the row of the needle" % name, thread)

# The copy of a copy knows its own columns, and may be made anew.
path = os.path.join(tmp, "once.csv")
open(path, "wb").write(forms["comma, UTF-8"][0])
copy = path + "-checked.csv"
bodkin("check", path, "--copy", copy)
tell(bodkin("check", path, "--copy", copy).returncode == 1, "a copy may be made anew")
tell(b"is not read" not in bodkin("check", copy).stderr, "its columns are known")
# Nothing else is written over.
for target, why in (path, "the list itself"), (os.path.join(tmp, "other.txt"), "no checked copy"):
    if not os.path.exists(target):
        open(target, "w").write("mine\n")
    before = open(target, "rb").read()
    r = bodkin("check", path, "--copy", target)
    tell(r.returncode == 2 and why.encode() in r.stderr, "refused: %s" % why, r.stderr)
    tell(open(target, "rb").read() == before, "and left as it was: %s" % why)
tell(bodkin("check", "--words", "denim apron", "--copy", copy).returncode == 2, "words have no copy")

# sqlite3 writes what it was given, in its own manner.
db = os.path.join(tmp, "play.db")
subprocess.run(["sqlite3", db, ".mode csv", ".import --skip 1 %s list" % path], check=False)
r = subprocess.run(["sqlite3", "-csv", "-header", db, "select * from list"], capture_output=True)
if r.stdout:
    path = os.path.join(tmp, "sqlite.csv")
    open(path, "wb").write(r.stdout)
    tell(found(path) == first, "sqlite3 -csv: the same is found", r.stderr)
    copied("sqlite3 -csv", path, "utf-8", ",")
else:
    tell(False, "sqlite3 is there to write a list", r.stderr)

# What programs have written, kept.
kept = sorted(glob.glob("tests/lists/*.csv") + glob.glob("tests/lists/*.tsv"))
tell(kept, "there are files of other programs")
for path in kept:
    here = os.path.join(tmp, os.path.basename(path))
    data = open(path, "rb").read()
    open(here, "wb").write(data)
    name = os.path.basename(path)
    tell(found(here) == first, "%s: the same is found" % name, found(here))
    encoding = "utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else \
        "utf-8-sig" if data[:3] == b"\xef\xbb\xbf" else "cp1252" if b"\xb2" in data and b"\xc2\xb2" not in data else "utf-8"
    text = data.decode(encoding)
    copied(name, here, encoding, max(",;\t", key=text.count))
END
